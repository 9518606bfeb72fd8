// Run by look, in build/look: opens FILE in the browser editor at URL, writes the problems it lists to `seen`, leaves `picture.png`.
import { createRequire } from "node:module";
import { writeFileSync } from "node:fs";

const [url, file] = process.argv.slice(2);
const { chromium } = createRequire(`${process.cwd()}/`)("playwright-core");

const browser = await chromium.launch({
  executablePath: "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});
const page = await browser.newPage({ viewport: { width: 1500, height: 1000 } });
try {
  for (let patience = 60; ; --patience) {
    try {
      await page.goto(url);
      break;
    } catch (error) {
      if (patience === 0) throw error;
      await page.waitForTimeout(500);
    }
  }
  await page.waitForSelector(".monaco-workbench", { timeout: 30000 });
  await page.keyboard.press("Control+P");
  await page.waitForSelector(".quick-input-widget input");
  await page.keyboard.type(file);
  await page.waitForSelector(".quick-input-list .monaco-list-row");
  await page.waitForTimeout(500);
  await page.keyboard.press("Enter");
  await page.waitForSelector(".squiggly-error", { state: "attached", timeout: 60000 });
  await page.keyboard.press("Control+Shift+M");
  await page.waitForSelector(".markers-panel .monaco-list-row");
  await page.waitForTimeout(1000);
  const rows = await page.$$eval(".markers-panel .monaco-list-row", (all) => all.map((row) => row.textContent));
  const seen = rows
    .map((row) => [row.match(/\[Ln (\d+), Col (\d+)\]/), row.match(/ferrule([a-z0-9-]+\.[a-z0-9-]+)\[Ln/)])
    .filter(([place, rule]) => place && rule)
    .map(([place, rule]) => `${place[1]}:${place[2]} ${rule[1]}`);
  writeFileSync("rows", rows.join("\n"));
  writeFileSync("seen", seen.map((line) => `${line}\n`).join(""));
} finally {
  await page.screenshot({ path: "picture.png" });
  await browser.close();
}
