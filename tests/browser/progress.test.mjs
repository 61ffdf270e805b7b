// The progress page and the rehearsal card in a real browser: nothing cut off, nothing run, nothing axe finds.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { pathToFileURL } from "node:url";
import { Home, launch } from "./world.mjs";

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

let home;
let browser;
const pages = {};

before(async () => {
  home = new Home();
  home.run(["drill", "--opponent", "north", "--simulated", "--keep", "--balls", "60", "--switch", "long push"]);
  home.run(["drill", "--opponent", "north", "--simulated", "--keep", "--balls", "60"]);
  home.run(["rehearse", "log", "--opponent", "north", "bh-short-fh=9/20", "pend-mid=18/20"]);
  pages.progress = join(home.root, "progress.html");
  pages.card = join(home.root, "card.html");
  home.run(["progress", "--html", pages.progress]);
  home.run(["rehearse", "--launcher", "per-ball", "--balls", "60", "--html", pages.card]);
  browser = await launch();
});

after(async () => {
  await browser?.close();
  home?.remove();
});

for (const [name, colorScheme] of [["progress", "light"], ["progress", "dark"], ["card", "light"]]) {
  for (const [width, height] of [[360, 740], [1280, 800]]) {
    test(`${name} at ${width} in ${colorScheme}: nothing is cut off and axe finds nothing`, async () => {
      // The check itself is a script, which the page's own policy would stop.
      const context = await browser.newContext({ viewport: { width, height }, colorScheme, bypassCSP: true });
      const asked = [];
      try {
        const page = await context.newPage();
        page.on("request", (request) => asked.push(request.url()));
        await page.goto(String(pathToFileURL(pages[name])));
        assert.equal(asked.length, 1, `nothing else is loaded: ${asked}`);
        const over = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
        assert.ok(over <= 0, `${over} px stand out`);
        const cut = await page.evaluate(() =>
          [...document.querySelectorAll("svg")].flatMap((svg) => {
            const frame = svg.getBoundingClientRect();
            return [...svg.querySelectorAll("text")]
              .filter((text) => {
                const box = text.getBoundingClientRect();
                return box.left < frame.left - 1 || box.right > frame.right + 1 || box.bottom > frame.bottom + 1 || box.top < frame.top - 1;
              })
              .map((text) => text.textContent.trim());
          }),
        );
        assert.deepEqual(cut, [], "words reach out of their picture");
        for (const details of await page.locator("details summary").all()) await details.click();
        await page.evaluate(axeSource);
        const found = await page.evaluate((only) => axe.run(document, { runOnly: only }), rules);
        assert.deepEqual(found.violations.map((one) => [one.id, one.nodes.map((node) => node.html.slice(0, 120))]), []);
      } finally {
        await context.close();
      }
    });
  }
}
