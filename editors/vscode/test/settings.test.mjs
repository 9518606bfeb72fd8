// What the extension says of itself.
import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { test } from "node:test";

const read = (path) => JSON.parse(readFileSync(new URL(`../${path}`, import.meta.url), "utf8"));
const manifest = read("package.json");

test("a workspace cannot name the program that is run", () => {
  const path = manifest.contributes.configuration.properties["ferrule.path"];
  assert.equal(path.scope, "machine");
  assert.equal(path.default, "ferrule");
});

test("what the manifest names is there", () => {
  const { languages, grammars, snippets } = manifest.contributes;
  for (const path of [languages[0].configuration, grammars[0].path, snippets[0].path]) {
    assert.ok(existsSync(new URL(`../${path}`, import.meta.url)), path);
  }
  assert.deepEqual(languages[0].extensions, [".fer"]);
  assert.equal(read(grammars[0].path).scopeName, grammars[0].scopeName);
});

test("the packages that are installed are named without where they came from", () => {
  for (const [path, entry] of Object.entries(read("package-lock.json").packages)) assert.equal(entry.resolved, undefined, path);
});

test("every setting and command that the code asks for is described", () => {
  const code = readFileSync(new URL("../src/extension.js", import.meta.url), "utf8");
  for (const [, name] of code.matchAll(/settings\.get\("(\w+)"/g)) assert.ok(manifest.contributes.configuration.properties[`ferrule.${name}`], name);
  for (const [, name] of code.matchAll(/registerCommand\("([\w.]+)"/g)) assert.ok(manifest.contributes.commands.some((c) => c.command === name), name);
});
