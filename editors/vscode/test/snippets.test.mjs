// There is a snippet for every statement, and what it writes is the statement's own example.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { test } from "node:test";

const here = new URL("..", import.meta.url).pathname;
const snippets = JSON.parse(readFileSync(`${here}snippets/ferrule.json`, "utf8"));
const program = process.env.FERRULE ?? `${here}../../build/ferrule`;

// What is left in the file: escapes undone, and one place for the cursor, at the end.
function written(snippet) {
  const body = snippet.body.join("\n");
  assert.match(body, /\$0$/);
  const plain = body.slice(0, -2);
  assert.doesNotMatch(plain.replace(/\\[\\$}]/g, ""), /[\\$}]/, "a mark that means something in snippets stands unescaped");
  return plain.replace(/\\([\\$}])/g, "$1");
}

test("a snippet for every word that opens a statement", () => {
  const grammar = JSON.parse(readFileSync(`${here}syntaxes/ferrule.tmLanguage.json`, "utf8"));
  const words = grammar.repository.keyword.match.match(/\(([a-z|]+)\)/)[1].split("|");
  assert.ok(words.length > 15);
  for (const word of words) assert.equal(snippets[word]?.prefix, word);
});

for (const [name, snippet] of Object.entries(snippets)) {
  test(`snippet ${name}`, () => {
    assert.ok(snippet.description);
    // The program reads it without stumbling over the grammar: what it does not know are only the names.
    const text = (name === "edition" ? "" : "edition 1\n") + written(snippet) + "\n";
    const answer = spawnSync(program, ["tidy", "-"], { input: text, encoding: "utf8" });
    assert.equal(answer.status, 0, `${answer.stderr}\n${text}`);
  });
}
