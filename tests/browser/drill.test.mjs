// Rounds on the phone page, played in a real browser at phone size by tapping, and by keys.
import assert from "node:assert/strict";
import { test } from "node:test";
import { RIGHT, answer, begin, flying, kept, next } from "./playing.mjs";
import { Home, onThePhone, serve } from "./world.mjs";

const SWITCHED = "short to the forehand, medium side-back, backhand motion";
const NEW_ANSWER = "heavy forehand push, long to the backhand";
const all = onThePhone();
const { withPhone } = all;

test("a list is drilled by tapping the drawn table, and every answer is kept at once", async () => {
  await withPhone(async (page) => {
    assert.equal(await kept(page), "Everything is at home");
    await begin(page, "[data-list]");
    for (let ball = 1; ball <= 8; ball += 1) {
      const { verdict } = await answer(page);
      assert.match(verdict, /^✓ in time/);
      assert.match(await kept(page), new RegExp(`^${ball} answers? not yet`));
      await next(page);
    }
    assert.match(await page.locator("#panel .verdict").textContent(), /8 of 8 right, 8 in time/);
    await page.locator("#panel [data-leave]").tap();
    assert.match(await page.locator("#today .card").first().textContent(), /done today/);
  });
});

test("a wrong tap, a tap before contact and silence are what they are", async () => {
  await withPhone(async (page) => {
    await begin(page, "[data-list]");
    // During the toss: a let.
    await page.locator("#cells button").first().tap();
    assert.match(await page.locator(".verdict").first().textContent(), /^Let: a touch before contact/);
    await next(page);
    const wrong = await answer(page, () => "backhand push, long to the middle");
    assert.match(wrong.verdict, /^✕ wrong/);
    assert.match(await page.locator("#panel").textContent(), /Given: backhand push/);
    assert.match(await page.locator("#panel .took").textContent(), /^Took 0\.\d\d s \(allowed \d\.\d\d s\)$/);
    await page.locator("#panel [data-key=u]").tap();
    assert.equal(await kept(page), "1 let not yet brought home", "the slip is taken back, the let stays");
    await flying(page);
    await page.locator(".verdict", { hasText: "no answer" }).waitFor({ timeout: 15000 });
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
    assert.match(await page.locator("#round-count").textContent(), /of 8/);
    await next(page);
    for (let ball = 3; ball < 8; ball += 1) {
      await answer(page);
      await next(page);
    }
    assert.match(await page.locator("#panel .verdict").textContent(), /8 of 8 right/);
    assert.equal(await kept(page), "8 answers not yet brought home");
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
      const call = page.locator("#panel .call");
      if ((await call.count()) > 0) {
        const words = await call.textContent();
        if (words.startsWith("SWITCH")) {
          isCalled = true;
          assert.match(await page.locator("#panel").textContent(), /not forehand push, on the rise.*now heavy forehand push/);
        }
        await next(page);
      }
      const { cue, verdict } = await answer(page, (cue) => {
        if (isCalled && cue === SWITCHED && wasOld) return NEW_ANSWER;
        return RIGHT[cue];
      });
      if (isCalled) afterCall += 1;
      if (isCalled && cue === SWITCHED && !wasOld) {
        assert.match(verdict, /wrong: the old answer/);
        wasOld = true;
      } else assert.match(verdict, /✓ in time/);
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
      await page.locator(".verdict").first().waitFor();
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
    const cue = await page.locator("#cue").textContent();
    const right = RIGHT[cue];
    // An answer within 150 ms of the question is a let here too.
    await page.waitForTimeout(400);
    const [stroke, ...where] = right.replace(", on the rise", "").split(", ");
    await page.locator("#panel .menu button", { hasText: stroke }).first().tap();
    const [depth, , , lane] = where[0].split(" ");
    await page.locator("#cells button", { hasText: new RegExp(`^${lane}, ${depth}`) }).tap();
    assert.match(await page.locator(".verdict").first().textContent(), /✓ in time/);
    await page.locator("#round-pause").tap();
    await page.locator("#panel [data-leave]").tap();
    await begin(page, "[data-round=Read]");
    await page.locator("#panel .menu button").first().waitFor();
    // A tap within 150 ms of contact would be a let.
    await page.waitForTimeout(2000);
    await page.locator("#panel .menu button").first().tap();
    // The second question has the same rule.
    await page.waitForTimeout(400);
    await page.locator("#cells button:enabled").first().tap();
    assert.match(await page.locator("#panel").textContent(), /It was: /);
  });
});

test("taps are measured, and every window leaves that time", async () => {
  await withPhone(async (page) => {
    await page.getByText("Measure my taps").tap();
    for (let tap = 0; tap < 18; tap += 1) {
      await page.locator("#cells .lit").waitFor();
      await page.locator("#cells .lit").tap();
    }
    await page.locator("#round").waitFor({ state: "hidden" });
    assert.match(await page.locator("#today").textContent(), /Measured on this device/);
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
          if (cue.includes("no spin")) assert.equal(await page.locator("#panel .side").count(), 0);
          if (cue.includes("heavy backspin") && cue.includes("short")) {
            assert.match(await page.locator("#panel").textContent(), /Taken for its twin: the ball goes into the net\./);
            const side = page.locator("#panel svg.side");
            assert.equal(await side.getAttribute("aria-label"), "The ball goes into the net");
            const { y, width, height } = await side.boundingBox();
            assert.ok(width > 200 && height > 40, `${width} x ${height}`);
            // Seen without a scroll, above the buttons.
            const next = await page.locator("#panel [data-go]").boundingBox();
            assert.ok(y + height <= next.y, `${y} + ${height}, ${next.y}`);
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
