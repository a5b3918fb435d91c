// Opens each page at a phone's and a desk's width, in the dark and in print; runs the accessibility check; lists every
// network request. Usage: node check_pages.mjs [--shots FOLDER] PAGE.html ... ; prints one JSON list.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { basename, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const require = createRequire(import.meta.url);
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const args = process.argv.slice(2);
const shots = args[0] === "--shots" ? args.splice(0, 2)[1] : null;
const VIEWS = [
  { name: "phone", width: 390, height: 844, scheme: "light", media: "screen" },
  { name: "desk", width: 1280, height: 900, scheme: "light", media: "screen" },
  { name: "dark", width: 390, height: 844, scheme: "dark", media: "screen" },
  { name: "print", width: 816, height: 1056, scheme: "light", media: "print" },
];

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM || "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
});
const found = [];
for (const path of args) {
  const url = pathToFileURL(resolve(path)).href;
  for (const view of VIEWS) {
    const context = await browser.newContext({
      viewport: { width: view.width, height: view.height },
      colorScheme: view.scheme,
      bypassCSP: true, // only so that the check itself can be loaded into the page
    });
    const page = await context.newPage();
    await page.emulateMedia({ media: view.media, colorScheme: view.scheme });
    const requests = [];
    const errors = [];
    const dialogs = [];
    page.on("request", (r) => r.url() !== url && requests.push(r.url()));
    page.on("pageerror", (e) => errors.push(String(e)));
    page.on("dialog", (d) => { dialogs.push(d.message()); d.dismiss(); });
    await page.goto(url, { waitUntil: "load" });
    const scripts = await page.evaluate(() => document.querySelectorAll("script, iframe, object, embed, img").length);
    const marks = await page.evaluate(() => typeof window.injected !== "undefined");
    const tooWide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    if (shots) await page.screenshot({ path: `${shots}/${basename(path, ".html")}_${view.name}.png`, fullPage: true });
    await page.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true)));
    await page.evaluate(axe);
    const result = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
    found.push({
      page: basename(path), view: view.name, requests, errors, dialogs, scripts, injected: marks, too_wide: tooWide,
      rules_run: result.passes.length,
      violations: result.violations.map((v) => ({
        id: v.id, impact: v.impact, help: v.help, nodes: v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160)), count: v.nodes.length,
      })),
    });
    await context.close();
  }
}
await browser.close();
process.stdout.write(JSON.stringify(found, null, 1) + "\n");
