// What axe finds on the phone page: in every view and state of a round, light and dark, upright and lying.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { axeFinds } from "./checking.mjs";
import { answer, begin, flying, next } from "./playing.mjs";
import { Home, launch, open, phone, serve } from "./world.mjs";

let home;
let site;
let browser;

before(async () => {
  home = new Home();
  site = await serve(home.page("--rehearse", "north", "--launcher", "feeder", "--balls", "48", "--switch", "long push"));
  browser = await launch();
});

after(async () => {
  await browser?.close();
  await site?.close();
  home?.remove();
});

async function leave(page) {
  await page.locator("#round-pause").tap();
  await page.locator("#panel [data-leave]").tap();
}

/** The round of the day, with something about its script changed. */
async function beginChanged(page, change) {
  await page.reload();
  await page.waitForSelector("html[data-ready=yes]");
  await page.evaluate(change);
  await begin(page, "[data-list]");
}

const VIEWPORTS = { upright: { width: 390, height: 844 }, lying: { width: 844, height: 390 } };
for (const [colorScheme, held] of [["light", "upright"], ["dark", "upright"], ["light", "lying"], ["dark", "lying"]]) {
  test(`axe finds nothing in ${colorScheme}, ${held}`, async () => {
    // The page's policy runs no script but its own; the checker comes in from outside it.
    const context = await browser.newContext({ ...phone, viewport: VIEWPORTS[held], colorScheme, bypassCSP: true });
    try {
      const { page, wrong } = await open(context, site.url);
      const check = async (where) => assert.deepEqual(await axeFinds(page), [], where);
      for (const view of ["today", "sheet", "table", "hall", "film", "bring"]) {
        await page.locator(`[data-view=${view}]`).tap();
        await check(view);
      }
      await page.locator("[data-view=today]").tap();
      await page.locator("[data-list]").first().tap();
      await check("ready");
      await page.locator("#panel [data-go]").tap();
      await flying(page);
      await check("flight");
      await page.locator("#round-pause").tap();
      await check("paused");
      await next(page);
      await answer(page, () => "drop");
      await check("wrong");
      await next(page);
      await answer(page);
      await page.locator("#strip .hold").tap({ timeout: 1000 }).catch(() => {});
      await page.waitForTimeout(300);
      await check("right");
      await leave(page);
      await begin(page, "[data-round=Think]");
      await check("which stroke");
      await page.locator("#cells button").first().tap();
      await check("which target");
      await leave(page);
      await page.locator("#today").getByText("This phone").tap();
      await page.getByText("Measure my taps").tap();
      await check("measuring");
      await page.locator("#strip [data-leave]").tap();
      await page.locator("[data-view=bring]").tap();
      await check("bring with an answer");
      await beginChanged(page, () => {
        const script = PAGE.scripts[PAGE.days[0].lists[0].script];
        const called = script.balls.findIndex((row) => row[3] > 0);
        script.balls = script.balls.slice(called);
      });
      await page.locator("#round[data-phase=call]").waitFor();
      await check("a call");
      await leave(page);
      await beginChanged(page, () => { PAGE.scripts[PAGE.days[0].lists[0].script].limit_ms = 1500; });
      await answer(page);
      await next(page);
      await page.locator("#panel", { hasText: "Your minutes are up" }).waitFor();
      await check("minutes up");
      await page.locator("#panel [data-go]").tap();
      await page.locator("#panel", { hasText: "1 of 1 right" }).waitFor();
      await check("done");
      await page.locator("#panel [data-leave]").tap();
      await page.locator("[data-view=table]").tap();
      await page.locator("#table-delay").fill("1");
      await page.getByText("Start the session").tap();
      const start = await page.locator("#table [data-act=go]").first().boundingBox();
      assert.ok(start.y >= 0 && start.y + start.height <= VIEWPORTS[held].height, `the block can be started: ${JSON.stringify(start)}`);
      await check("caller, before the first ball");
      await page.locator("#table [data-act=go]").first().tap();
      await page.locator("#table-out", { hasText: /^Ball 1: / }).waitFor({ timeout: 20000 });
      await check("caller, running");
      await page.locator("#table [data-act=pause]").tap();
      await check("caller, paused");
      await beginChanged(page, () => {
        Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };
      });
      await answer(page);
      await page.locator("#round-note", { hasText: "storage is full" }).waitFor();
      await check("storage full");
      assert.deepEqual(wrong, []);
    } finally {
      await context.close();
    }
  });
}
