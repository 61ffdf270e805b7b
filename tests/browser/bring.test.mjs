// Answers on their way from the phone page to the real program at home.
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { answer, begin, kept, next, unfold } from "./playing.mjs";
import { Home, onThePhone, open, phone, serve } from "./world.mjs";

const all = onThePhone();
const { withPhone } = all;

test("answers come home as a file, once, however often they are read", async () => {
  const own = new Home();
  const folder = own.page();
  const here = await serve(folder);
  try {
    await withPhone(
      async (page) => {
        await begin(page, "[data-list]");
        for (let ball = 0; ball < 2; ball += 1) {
          await answer(page);
          await next(page);
        }
        await page.locator("#round-pause").tap();
        await page.locator("#panel [data-leave]").tap();
        // A serve seen, a new one, and a debrief from the hall.
        await page.locator("[data-view=hall]").tap();
        await unfold(page);
        await page.locator("#hall .rounds button").first().tap();
        await page.locator("[data-field=motion] [data-word=tomahawk]").tap();
        await page.locator("[data-field=depth] [data-word=short]").tap();
        await page.locator("[data-field=spin] [data-word=dead]").tap();
        await page.locator("#new-tell").fill("looks up — “late”");
        await page.getByText("Keep this serve").tap();
        await page.locator("#debrief-games").fill("11-8 9-11 11-6");
        await page.locator("#debrief-sentence").fill("long push worked");
        await page.getByText("Keep the debrief").tap();
        assert.equal(await kept(page), "2 answers and 3 other notes not yet brought home");
        await page.locator("[data-view=bring]").tap();
        const [download] = await Promise.all([page.waitForEvent("download"), page.locator("#bring-save").tap()]);
        const file = join(own.root, download.suggestedFilename());
        await download.saveAs(file);
        const text = await page.locator("#bring-text").inputValue();
        assert.equal(readFileSync(file, "utf8").replace(/"made":\d+/, ""), text.replace(/"made":\d+/, ""));
        assert.doesNotMatch(text, /[^\x20-\x7e\n]/, "plain letters only");
        assert.ok(text.split("\n").every((line) => line.length < 1000), "a terminal takes every line");
        const first = own.run(["phone", "read", file]);
        assert.match(first, /taken in: 2 answers, 1 debrief, 1 serve seen again and 1 new serve/);
        assert.match(readFileSync(join(own.root, "home/decks/north.ron"), "utf8"), /tomahawk[\s\S]*looks up — “late”/);
        const journal = () => {
          const folder = join(own.root, "home/journal");
          return readdirSync(folder).filter((name) => name.endsWith(".jsonl")).map((name) => readFileSync(join(folder, name), "utf8")).join("");
        };
        const lines = journal();
        assert.match(own.run(["phone", "read", file]), /nothing new\n5 events here already/);
        assert.match(own.run(["phone", "read", "-"], text), /nothing new/);
        assert.equal(journal(), lines, "the journal does not grow");
        await page.locator("#bring-mark").tap();
        assert.equal(await kept(page), "Everything is at home");
        // Said too early: it can be unsaid, also after the page was opened again.
        await page.reload();
        await page.waitForSelector("html[data-ready=yes]");
        await page.locator("[data-view=bring]").tap();
        await page.locator("#bring-back").tap();
        assert.equal(await kept(page), "2 answers and 3 other notes not yet brought home");
        assert.match(own.run(["phone", "read", "-"], await page.locator("#bring-text").inputValue()), /nothing new/);
      },
      { acceptDownloads: true },
      here.url,
    );
  } finally {
    await here.close();
    own.remove();
  }
});

test("a newer page knows by itself what is at home", async () => {
  const own = new Home();
  const here = await serve(own.page());
  const context = await all.browser.newContext(phone);
  try {
    const { page } = await open(context, here.url);
    await begin(page, "[data-list]");
    await answer(page);
    const text = await page.evaluate(() => SecondballLogic.exported(PAGE, Keep.away().all, 1));
    own.run(["phone", "read", "-"], text);
    own.page();
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    await page.waitForFunction(() => document.getElementById("kept").textContent === "Everything is at home");
  } finally {
    await context.close();
    await here.close();
    own.remove();
  }
});
