// Bundles the extension and its language client into dist/extension.js, with the licences of what is bundled beside it.
import { build } from "esbuild";
import { readFileSync, readdirSync, writeFileSync } from "node:fs";

const { metafile } = await build({
  entryPoints: ["src/extension.js"],
  outfile: "dist/extension.js",
  bundle: true,
  minify: true,
  platform: "node",
  format: "cjs",
  target: "node18",
  external: ["vscode"],
  metafile: true,
  logLevel: "warning",
});

const folders = new Set(Object.keys(metafile.inputs).map((file) => file.match(/^(?:.*\/)?node_modules\/(?:@[^/]+\/)?[^/]+/)?.[0]));
folders.delete(undefined);
const licences = [...folders].sort().map((folder) => {
  const { name, version } = JSON.parse(readFileSync(`${folder}/package.json`, "utf8"));
  const file = readdirSync(folder).find((entry) => /^licen[cs]e/i.test(entry));
  if (!file) throw new Error(`${name} comes without its licence`);
  return `${name} ${version}\n\n${readFileSync(`${folder}/${file}`, "utf8").trim()}\n`;
});
writeFileSync("dist/LICENCES.txt", licences.join("\n--------\n\n"));
