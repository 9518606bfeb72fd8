// The colours of every example, token by token, against what the program itself says of each (its semantic tokens).
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { createRequire } from "node:module";
import { readFileSync, readdirSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { after, before, test } from "node:test";
import oniguruma from "vscode-oniguruma";
import textmate from "vscode-textmate";
import rpc from "vscode-jsonrpc/node.js";

const here = new URL("..", import.meta.url).pathname;
const examples = resolve(here, "../../examples");
const files = readdirSync(examples, { recursive: true }).filter((f) => f.endsWith(".fer")).map((f) => join(examples, f)).sort();

// What the grammar may call each type of token. A name may look like any word: a thing may be called `BARN`, a mark `red`.
const may_be = {
  keyword: /keyword\.(control|other)\.ferrule/,
  type: /support\.type/,
  property: /variable\.other\.property/,
  number: /constant\.numeric|constant\.other\.(date|terminal)|attribute-name\.terminal/,
  macro: /keyword\.other\.unit/,
  string: /string\.quoted/,
  comment: /comment\.line/,
  class: /variable\.other\.ferrule|constant\.language/,
  variable: /variable\.other\.ferrule|constant\.language/,
  enumMember: /variable\.other|constant|entity\.other|keyword\.other/,
  enum: /variable\.other|constant|entity\.other|keyword\.other/,
};

let grammar, server, connection, legend;

before(async () => {
  const wasm = readFileSync(createRequire(import.meta.url).resolve("vscode-oniguruma/release/onig.wasm"));
  await oniguruma.loadWASM(wasm.buffer.slice(wasm.byteOffset, wasm.byteOffset + wasm.length));
  const path = join(here, "syntaxes/ferrule.tmLanguage.json");
  const registry = new textmate.Registry({
    onigLib: Promise.resolve({
      createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
      createOnigString: (text) => new oniguruma.OnigString(text),
    }),
    loadGrammar: async () => textmate.parseRawGrammar(readFileSync(path, "utf8"), path),
  });
  grammar = await registry.loadGrammar("source.ferrule");

  // Clients built on the same library as this one like to say --stdio.
  server = spawn(process.env.FERRULE ?? resolve(here, "../../build/ferrule"), ["serve", "--stdio"], { stdio: ["pipe", "pipe", "inherit"] });
  connection = rpc.createMessageConnection(new rpc.StreamMessageReader(server.stdout), new rpc.StreamMessageWriter(server.stdin));
  connection.onUnhandledNotification(() => {});
  connection.listen();
  const answer = await connection.sendRequest("initialize", { processId: process.pid, rootUri: null, capabilities: {} });
  legend = answer.capabilities.semanticTokensProvider.legend.tokenTypes;
  await connection.sendNotification("initialized", {});
});

after(async () => {
  await connection.sendRequest("shutdown");
  await connection.sendNotification("exit");
  connection.dispose();
});

// A joining word that is a property too, such as `ends`, is shown as one where a property stands.
function names_both(word) {
  const { joining, property } = JSON.parse(readFileSync(join(here, "syntaxes/ferrule.tmLanguage.json"), "utf8")).repository;
  return [joining, property].every((list) => new RegExp(`[(|:]${word}[)|]`).test(list.match));
}

// By line: the scopes of each column.
function scopes_of(text) {
  let state = textmate.INITIAL;
  return text.split("\n").map((line) => {
    const answer = grammar.tokenizeLine(line, state);
    state = answer.ruleStack;
    const columns = new Array(line.length);
    for (const t of answer.tokens) columns.fill(t.scopes.slice(1).join(" "), t.startIndex, t.endIndex);
    return columns;
  });
}

assert.ok(files.length > 10, "the examples are not where they should be");
for (const file of files) {
  test(`colours of ${file.slice(examples.length + 1)}`, async () => {
    const text = readFileSync(file, "utf8");
    const lines = text.split("\n");
    const scopes = scopes_of(text);
    const uri = pathToFileURL(file).href;
    await connection.sendNotification("textDocument/didOpen", { textDocument: { uri, languageId: "ferrule", version: 1, text } });
    const { data } = await connection.sendRequest("textDocument/semanticTokens/full", { textDocument: { uri } });
    await connection.sendNotification("textDocument/didClose", { textDocument: { uri } });
    assert.ok(data.length > 0);

    const wrong = [];
    const said = lines.map(() => new Set());
    for (let i = 0, line = 0, column = 0; i < data.length; i += 5) {
      column = data[i] === 0 ? column + data[i + 1] : data[i + 1];
      line += data[i];
      const type = legend[data[i + 3]];
      const word = lines[line].slice(column, column + data[i + 2]);
      for (let c = column; c < column + data[i + 2]; ++c) said[line].add(c);
      const scope = scopes[line][column];
      const first = lines[line].slice(0, column).trim() === "";
      if (first && type === "keyword" && names_both(word)) continue;
      if (first && type === "property" && /^[A-Z]/.test(word)) continue;  // a device that a step or a reading begins with
      if (!may_be[type]?.test(scope)) wrong.push(`${line + 1}:${column + 1} ${word} is ${type}, shown as ${scope || "nothing"}`);
    }
    // What the program calls nothing is blank or a mark between words, and shown as no word.
    lines.forEach((line, at) => {
      for (let c = 0; c < line.length; ++c) {
        if (said[at].has(c) || line[c] === " ") continue;
        if (!/[^\w\s]/.test(line[c])) wrong.push(`${at + 1}:${c + 1} ${line[c]} is nothing to the program`);
        if (/keyword\.control|comment|string|support/.test(scopes[at][c])) wrong.push(`${at + 1}:${c + 1} ${line[c]} is shown as ${scopes[at][c]}`);
      }
    });
    assert.deepEqual(wrong.slice(0, 20), [], `${wrong.length} tokens in other colours than they should be`);
  });
}
