// A session of sixty balls as it comes out of a printer: one page of A4 or letter, two of A6, whatever throws.
import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { pathToFileURL } from "node:url";
import { Home, launch } from "./world.mjs";

let home;
let browser;

before(async () => {
  home = new Home();
  browser = await launch();
});

after(async () => {
  await browser?.close();
  home?.remove();
});

for (const launcher of ["fixed", "oscillating", "per-ball", "feeder", "partner"]) {
  test(`sixty balls from ${launcher} are a page, with all cautions, and no heading stands alone at its foot`, async () => {
    const page = await (await browser.newContext()).newPage();
    for (const [paper, most] of [["a4", 1], ["letter", 1], ["a6", 2]]) {
      const file = join(home.root, `${launcher}-${paper}.html`);
      home.run(["rehearse", "north", "--launcher", launcher, "--balls", "60", "--paper", paper, "--html", file]);
      await page.goto(pathToFileURL(file).href);
      const printed = (await page.pdf({ preferCSSPageSize: true })).toString("latin1");
      const pages = printed.match(/\/Type\s*\/Page\b/g).length;
      assert.ok(pages <= most, `${paper}: ${pages} pages`);
      const loose = await page.evaluate(() =>
        [...document.querySelectorAll("h2")].filter((head) => getComputedStyle(head).breakAfter !== "avoid").length,
      );
      assert.equal(loose, 0, paper);
    }
  });
}
