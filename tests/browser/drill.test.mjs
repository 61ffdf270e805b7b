// Rounds on the phone page, played in a real browser at phone size by tapping, and by keys.
import assert from "node:assert/strict";
import { test } from "node:test";
import { RIGHT, answer, begin, cueOf, flying, kept, next } from "./playing.mjs";
import { Home, onThePhone, serve } from "./world.mjs";

const SWITCHED = "short to the forehand, medium side-back, backhand motion";
const NEW_ANSWER = "heavy forehand push, long to the backhand";
const all = onThePhone();
const { withPhone } = all;

test("a list is drilled by tapping the drawn table, and every answer is kept at once", async () => {
  await withPhone(async (page) => {
    assert.equal(await kept(page), "Everything is at home");
    await begin(page, "[data-list]");
    for (let ball = 1; ball <= 4; ball += 1) {
      const { said } = await answer(page);
      assert.match(said, /right$|then: /);
      assert.match(await kept(page), new RegExp(`^${ball} answers? not yet`));
      await next(page);
    }
    await page.locator("#round-pause").tap();
    await page.locator("#panel [data-leave]").tap();
    assert.match(await page.locator("#today .card").first().textContent(), /1 of 5 answers to give/);
  });
});

test("a wrong tap, a tap before contact and silence are what they are", async () => {
  await withPhone(async (page) => {
    await begin(page, "[data-list]");
    // During the toss: a let.
    await page.locator("#cells button").first().tap();
    assert.match(await page.locator("#say").textContent(), /^Let: a touch before contact/);
    await next(page);
    const wrong = await answer(page, () => "backhand push, long to the middle");
    assert.match(wrong.said, /push/);
    assert.ok(wrong.said.includes(RIGHT[wrong.cue]), wrong.said);
    // It waits, and hears no tap that was meant for the ball.
    await page.locator("#strip [data-go]").tap();
    await page.waitForTimeout(4500);
    await page.locator("#round[data-phase=feedback]").waitFor();
    await page.locator("#strip [data-key=u]").tap();
    assert.equal(await kept(page), "1 let not yet brought home", "the slip is taken back, the let stays");
    await flying(page);
    await page.locator("#say", { hasText: "no answer" }).waitFor({ timeout: 15000 });
  });
});

test("a right answer goes on by itself after the player's own time, and can be held", async () => {
  await withPhone(async (page) => {
    await page.evaluate(() => Keep.put("state", { restMs: 1200 }));
    await begin(page, "[data-list]");
    await answer(page);
    await page.locator("#round[data-phase=toss]").waitFor({ timeout: 2500 });
    await answer(page);
    await page.waitForTimeout(360);
    await page.locator("#strip .hold").tap();
    await page.waitForTimeout(1500);
    await page.locator("#round[data-phase=feedback]").waitFor();
    await page.locator("#strip [data-go]").tap();
    await page.locator("#round[data-phase=toss]").waitFor();
  });
});

test("a page reloaded in the middle of a drill loses nothing and goes on", async () => {
  await withPhone(async (page) => {
    await begin(page, "[data-list]");
    for (let ball = 0; ball < 3; ball += 1) {
      await answer(page);
      await next(page);
    }
    await page.waitForTimeout(200);
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    assert.equal(await kept(page), "3 answers not yet brought home");
    await page.getByText("Go on with it").tap();
    assert.match(await page.locator("#panel").textContent(), /Paused/);
    assert.match(await page.locator("#round-count").textContent(), /ball 3\b/);
    await next(page);
    await answer(page);
    assert.equal(await kept(page), "4 answers not yet brought home");
  });
});

test("a switch round is called between points, and the old answer is told from other mistakes", async () => {
  await withPhone(async (page) => {
    await begin(page, "[data-round='Switch: long push']");
    let isCalled = false;
    let wasOld = false;
    let afterCall = 0;
    let balls = 0;
    while (afterCall < 4 || !wasOld) {
      assert.ok((balls += 1) < 60);
      if ((await page.locator("#round[data-phase=call]").count()) > 0) {
        const words = await page.locator("#say").textContent();
        if (words.startsWith("Switch")) {
          isCalled = true;
          assert.match(words, /Now: heavy forehand push.*instead of: forehand push, on the rise.*on: short FH/);
        }
        await page.locator("#strip [data-go]").tap();
      }
      const { cue, said } = await answer(page, (cue) => {
        if (isCalled && cue === SWITCHED && wasOld) return NEW_ANSWER;
        return RIGHT[cue];
      });
      if (isCalled) afterCall += 1;
      if (isCalled && cue === SWITCHED && !wasOld) {
        assert.match(said, /push: the old answer/);
        wasOld = true;
      } else assert.match(said, /right$|then: /);
      await next(page);
    }
    await page.locator("#round-pause").tap();
    await page.locator("#panel [data-leave]").tap();
    const events = await page.evaluate(() => Keep.standing().map((one) => one.fact));
    const old = events.filter((fact) => fact.switch && fact.switch.old && fact.given === fact.switch.old);
    assert.equal(old.length, 1);
    assert.ok(events.some((fact) => fact.switch && fact.switch.stage === "before"));
  });
});

test("a keyboard alone drills, pauses and ends", async () => {
  await withPhone(
    async (page) => {
      await page.locator("[data-list]").first().focus();
      await page.keyboard.press("Enter");
      await page.keyboard.press("Space");
      await flying(page);
      await page.waitForTimeout(200);
      await page.keyboard.press("e");
      await page.keyboard.press("e");
      await page.locator("#round[data-phase=feedback]").waitFor();
      assert.equal(await kept(page), "1 answer not yet brought home");
      await page.keyboard.press("Escape");
      assert.match(await page.locator("#panel").textContent(), /Paused/);
      await page.getByText("End the round").focus();
      await page.keyboard.press("Enter");
      await page.locator("#round").waitFor({ state: "hidden" });
    },
    { isMobile: false, hasTouch: false },
  );
});

test("thinking and reading rounds are played by tapping too", async () => {
  await withPhone(async (page) => {
    await begin(page, "[data-round=Think]");
    const right = RIGHT[await cueOf(page)];
    // An answer within 150 ms of the question is a let here too.
    await page.waitForTimeout(400);
    const [stroke, ...where] = right.replace(", on the rise", "").split(", ");
    await page.locator("#cells.list button", { hasText: stroke }).first().tap();
    const [depth, , , lane] = where[0].split(" ");
    await page.locator("#cells button", { hasText: new RegExp(`^${lane}, ${depth}`) }).tap();
    assert.match(await page.locator("#say").textContent(), /right$|then: /);
    await page.locator("#round-pause").tap();
    await page.locator("#panel [data-leave]").tap();
    await begin(page, "[data-round=Read]");
    await page.locator("#cells.list button").first().waitFor();
    // A tap within 150 ms of contact would be a let.
    await page.waitForTimeout(2000);
    await page.locator("#cells.list button").first().tap();
    // The second question has the same rule.
    await page.waitForTimeout(400);
    await page.locator("#cells button:enabled").first().tap();
    assert.match(await page.locator("#say").textContent(), /It was: |Recognised/);
  });
});

test("taps are measured, and every window leaves that time", async () => {
  await withPhone(async (page) => {
    await page.getByText("This phone").tap();
    await page.getByText("Measure my taps").tap();
    for (let tap = 0; tap < 18; tap += 1) {
      await page.locator("#cells .lit").waitFor();
      await page.locator("#cells .lit").tap();
    }
    // The last tap was for the field: one more at the same moment leaves the screen as it is.
    await page.locator("#panel [data-leave]").tap();
    assert.match(await page.locator("#panel").textContent(), /^Measured/);
    await page.waitForTimeout(400);
    await page.locator("#panel [data-leave]").tap();
    await page.locator("#round").waitFor({ state: "hidden" });
    assert.match(await page.locator("#today").textContent(), /Your taps are measured/);
    const time = await page.evaluate(() => Keep.get("state").keyTime.tap);
    assert.ok(time.a_ms >= 0 && time.b_ms >= 0);
  });
});

test("a serve taken for its twin shows in words and from the side where the ball goes", async () => {
  const home = new Home({});
  home.run(["scout", "Twins", "--hand", "right", "--from-habit", "dead-among-heavy"]);
  const site = await serve(home.page());
  try {
    await all.withPhone(
      async (page) => {
        await begin(page, "[data-list]");
        for (let ball = 0, seen = false; !seen && ball < 30; ball += 1) {
          // The dead one's flick against everything; against the heavy one it is the twin's.
          const { cue } = await answer(page, () => "backhand flick");
          const path = page.locator("#back");
          if (/dead|no spin/.test(cue)) assert.equal(await path.getAttribute("points"), "");
          if (/heavy|backspin/.test(cue)) {
            assert.match(await page.locator("#say").textContent(), /flick: into the net/);
            assert.ok((await path.getAttribute("points")).split(" ").length > 3);
            assert.equal(await page.locator("#end .nod").count(), 1);
            seen = true;
          }
          if (seen) return;
          await next(page);
        }
        assert.fail("the heavy one never came");
      },
      {},
      site.url,
    );
  } finally {
    await site.close();
    home.remove();
  }
});
