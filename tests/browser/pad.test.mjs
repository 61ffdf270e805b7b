// Sixty balls on every size of screen and letter: each field stays where it is, whole, and under nothing.
import assert from "node:assert/strict";
import { test } from "node:test";
import { RIGHT, unfold } from "./playing.mjs";
import { onThePhone } from "./world.mjs";

const BALLS = 60;
const { withPhone } = onThePhone();

/** Where everything stands that may not move, and what is wrong with a field. */
const seen = (page) =>
  page.evaluate(() => {
    const box = (one) => {
      const { x, y, width, height } = one.getBoundingClientRect();
      return [x, y, width, height];
    };
    const fields = [...document.querySelectorAll("#cells button")];
    const wrong = [];
    for (const field of fields) {
      const [x, y, width, height] = box(field);
      const say = (what) => wrong.push(`${field.getAttribute("aria-label")}: ${what} (${[x, y, width, height].map(Math.round)})`);
      if (width < 44 || height < 44) say("small");
      if (x < 0 || y < 0 || x + width > innerWidth || y + height > innerHeight) say("off the screen");
      for (const [across, along] of [[0.5, 0.5], [0.06, 0.08], [0.94, 0.08], [0.06, 0.92], [0.94, 0.92]]) {
        const found = document.elementFromPoint(x + across * width, y + along * height);
        if (found !== field && !field.contains(found)) say(`covered by ${found && found.outerHTML.slice(0, 60)}`);
      }
      const letters = document.createRange();
      letters.selectNodeContents(field.querySelector("span"));
      const of = letters.getBoundingClientRect();
      if (of.left < x || of.right > x + width || of.top < y || of.bottom > y + height) say("letters cut off");
    }
    const still = [".court", "#round-pause", "#strip", ".track"].map((one) => box(document.querySelector(one)));
    const labels = fields.map((field) => field.getAttribute("aria-label"));
    return { labels, phase: document.getElementById("round").dataset.phase, wrong, boxes: [...fields.map(box), ...still], word: (document.querySelector("#say .word") || {}).textContent };
  });

for (const [width, height] of [[360, 740], [390, 844], [740, 360], [568, 320]]) {
  for (const text of [100, 150, 200]) {
    for (const hand of text === 100 ? ["right", "left"] : ["right"]) {
      test(`no field moves, is covered or cut off in sixty balls at ${width} x ${height}, text ${text} %, ${hand} hand`, async () => {
        await withPhone(
          async (page) => {
            await page.evaluate(([size, hand]) => { document.documentElement.style.fontSize = `${size}%`; Keep.put("state", { hand }); }, [text, hand]);
            await page.clock.install();
            await unfold(page);
            await page.locator("[data-round^=Switch]").first().tap();
            await page.locator("#panel [data-go]").tap();
            const phases = new Set();
            let first = null;
            let balls = 0;
            for (let step = 0; balls < BALLS; step += 1) {
              assert.ok(step < 20 * BALLS, "the round goes on");
              const now = await seen(page);
              if (now.phase === "done") break;
              const looked = now.phase === "feedback" ? `feedback ${await page.locator("#say .bad").count()}` : now.phase;
              phases.add(looked);
              first = first || now.boxes;
              assert.deepEqual(now.wrong, [], looked);
              now.boxes.forEach((box, nth) => box.forEach((value, side) => assert.ok(Math.abs(value - first[nth][side]) < 0.1, `${looked}: ${nth} moved from ${first[nth]} to ${box}`)));
              if (now.phase === "flight") {
                await page.clock.runFor(300);
                // The gate must open for the call to come; then every field has its turn.
                const right = now.labels.findIndex((label) => label.includes(RIGHT[now.word.trim()]));
                const [x, y, across, along] = now.boxes[balls < 24 ? right : balls % now.labels.length];
                await page.touchscreen.tap(x + across / 2, y + along / 2);
                balls += 1;
              } else if (now.phase === "feedback" || now.phase === "call") {
                await page.clock.runFor(400);
                await page.keyboard.press("Space");
              } else await page.clock.runFor(250);
            }
            assert.ok(balls >= BALLS, `${balls} balls`);
            for (const phase of ["toss", "flight", "call", "feedback 0", "feedback 1"]) assert.ok(phases.has(phase), `${phase} was seen: ${[...phases]}`);
          },
          { viewport: { width, height } },
        );
      });
    }
  }
}
