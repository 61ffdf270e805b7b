// In the hall, in two tabs, and with the browser's own back button.
import assert from "node:assert/strict";
import { test } from "node:test";
import { kept, unfold } from "./playing.mjs";
import { onThePhone, open } from "./world.mjs";

const all = onThePhone();
const { withPhone } = all;
const told = (page) => page.locator("#hall-told").textContent();

test("a serve seen counts once for a double tap and can be taken back", async () => {
  await withPhone(async (page) => {
    await page.locator("[data-view=hall]").tap();
    await unfold(page);
    const serve = page.locator("#hall .rounds button").first();
    await serve.dblclick();
    assert.equal(await kept(page), "1 note not yet brought home");
    await page.locator("#hall-undo").tap();
    assert.match(await told(page), /Taken back/);
    assert.deepEqual(await page.evaluate(() => Keep.standing()), []);
  });
});

test("a new serve needs something to be known by, and a score must be one", async () => {
  await withPhone(async (page) => {
    await page.locator("[data-view=hall]").tap();
    await unfold(page);
    await page.getByText("Keep this serve").tap();
    assert.match(await told(page), /Choose at least one thing/);
    for (const [typed, wrong] of [["11-10", /11-10 is no score/], ["12-9", /12-9 is no score/], ["11-8 9", /Not understood: 9/], ["0-0", /0-0/]]) {
      await page.locator("#debrief-games").fill(typed);
      await page.getByText("Keep the debrief").tap();
      assert.match(await told(page), wrong);
    }
    assert.equal(await kept(page), "Everything is at home");
    await page.locator("#debrief-games").fill("11-9, 10-12 15-13");
    await page.getByText("Keep the debrief").tap();
    const [fact] = await page.evaluate(() => Keep.standing().map((one) => one.fact));
    assert.deepEqual(fact.games, [[11, 9], [10, 12], [15, 13]]);
    assert.equal(await page.locator("#debrief-games").inputValue(), "", "what was kept is not there to be kept twice");
  });
});

test("a debrief half written is there after another view and after a reload", async () => {
  await withPhone(async (page) => {
    await page.locator("[data-view=hall]").tap();
    await unfold(page);
    await page.locator("#debrief-sentence").fill("long push worked");
    await page.locator("#hall summary").first().tap();
    await page.locator("[data-field=many-0] [data-word=few]").tap();
    const isThere = async () => {
      assert.equal(await page.locator("#debrief-sentence").inputValue(), "long push worked");
      assert.equal(await page.locator("[data-field=many-0] [data-word=few]").getAttribute("aria-pressed"), "true");
    };
    await page.locator("[data-view=today]").tap();
    await page.locator("[data-view=hall]").tap();
    await unfold(page);
    await isThere();
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    await page.locator("[data-view=hall]").tap();
    await unfold(page);
    await isThere();
  });
});

test("the back button goes back inside the page, and pauses a ball before it leaves a round", async () => {
  await withPhone(async (page) => {
    await page.locator("[data-view=hall]").tap();
    await unfold(page);
    await page.goBack();
    await page.locator("#view-today").waitFor();
    await page.locator("[data-list]").first().tap();
    await page.locator("#panel [data-go]").tap();
    await page.goBack();
    await page.locator("#panel", { hasText: "Paused" }).waitFor();
    await page.goBack();
    await page.locator("#round").waitFor({ state: "hidden" });
    assert.match(await page.locator("#today").textContent(), /A round was broken off|to give/);
    // Closed by its own button, a round leaves no step behind.
    await page.locator("[data-view=sheet]").tap();
    await page.locator("[data-view=today]").tap();
    await page.locator("[data-list]").first().tap();
    await page.getByText("Not now").tap();
    await page.locator("#round").waitFor({ state: "hidden" });
    await page.waitForTimeout(100);
    await page.goBack();
    await page.locator("#view-sheet").waitFor();
  });
});

test("in two tabs one works and the other says so", async () => {
  await withPhone(async (page, context) => {
    const second = await open(context, all.site.url);
    await page.getByText("This page is open in another tab").waitFor();
    assert.equal(await second.page.getByText("This page is open in another tab").count(), 0);
    await page.locator("#tab-here").tap();
    await page.waitForSelector("html[data-ready=yes]");
    await second.page.getByText("This page is open in another tab").waitFor();
    assert.equal(await page.locator(".elsewhere").count(), 0);
  });
});

test("what is to be pressed next is in sight, upright and lying", async () => {
  for (const viewport of [{ width: 360, height: 740 }, { width: 740, height: 360 }]) {
    await withPhone(
      async (page) => {
        const isSeen = async (locator, what) => {
          const box = await locator.first().boundingBox();
          const isIn = box && box.y >= 0 && box.y + box.height <= viewport.height;
          const isOnTop = await locator.first().evaluate((button) => {
            const at = button.getBoundingClientRect();
            const found = document.elementFromPoint(at.x + at.width / 2, at.y + at.height / 2);
            return button === found || button.contains(found);
          });
          assert.ok(isIn && isOnTop, `${what} at ${viewport.width} x ${viewport.height}: ${JSON.stringify(box)}`);
        };
        const go = page.locator("#panel [data-go]");
        await unfold(page);
        await page.locator("[data-round^=Switch]").first().tap();
        await isSeen(go, "Begin");
        await go.tap();
        for (let ball = 0; ball < 2; ball += 1) {
          await page.locator("#round[data-phase=flight]").waitFor();
          await page.waitForTimeout(220);
          await page.locator('#cells button[aria-label*="drop"]').tap();
          const on = page.locator("#strip [data-go]");
          await isSeen(on, "Go on");
          await page.waitForTimeout(360);
          await on.tap();
        }
        await page.locator("#round-pause").tap();
        await page.locator("#panel [data-leave]").tap();
      },
      { viewport },
    );
  }
});
