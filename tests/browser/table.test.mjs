// The caller at the table, in a real browser at phone size: what it calls, what it keeps, what it hides.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Home, launch, open, phone, serve } from "./world.mjs";

let browser;

before(async () => {
  browser = await launch();
});

after(async () => {
  await browser?.close();
});

/** A page with a session of this launcher, opened at its table. */
async function atTable(launcher, run, options = {}) {
  const own = new Home();
  const here = await serve(own.page("--rehearse", "north", "--launcher", launcher, "--balls", "48", "--switch", "long push"));
  const context = await browser.newContext({ ...phone, ...options });
  try {
    const { page, wrong } = await open(context, here.url);
    await page.locator("[data-view=table]").tap();
    await page.locator("#table-delay").fill("1");
    await run(page, own);
    assert.deepEqual(wrong, [], "nothing may go wrong on the page");
  } finally {
    await context.close();
    await here.close();
    own.remove();
  }
}

const kept = (page) => page.locator("#kept").textContent();
const go = (page) => page.locator("#table [data-act=go]").first().tap();
const isOut = (page, ball) => page.locator("#table-out", { hasText: new RegExp(`^Ball ${ball}: `) }).waitFor({ timeout: 20000 });

/** Makes time in the page pass by itself, so that no test waits for a launcher. */
const quickly = (page, throwMs = 1000) => page.evaluate((ms) => {
  for (const block of PAGE.caller.blocks) block.throw_ms = ms;
}, throwMs);

test("it counts, calls and takes results with one thumb, and what was done last is taken back", async () => {
  await atTable("feeder", async (page, own) => {
    assert.match(await page.locator("#table li").first().textContent(), /^[A-Z].{10}/, "cautions come first");
    await page.getByText("Start the session").tap();
    await go(page);
    assert.match(await page.locator("#table .big").first().textContent(), /.{4}/);
    await page.getByText("Nothing to enter yet").waitFor();
    await isOut(page, 1);
    await page.locator(".result [data-act=made]").tap();
    assert.equal(await kept(page), "1 note not yet brought home");
    // Another one corrects it; taken back, the first one stands again.
    await page.locator(".result [data-act=wrong]").tap();
    await page.getByText(/^0 made, 0 missed, 1 wrong/).waitFor();
    await page.getByText("Take back").tap();
    await page.getByText(/^1 made, 0 missed, 0 wrong/).waitFor();
    await page.getByText("Ball did not come").tap();
    await page.getByText(/; 1 did not come/).waitFor();
    await page.getByText("Take back").tap();
    await page.getByText(/; 0 did not come/).waitFor();
    assert.equal(await kept(page), "1 note not yet brought home");
    await page.getByText("Pause").first().tap();
    await go(page);
    await page.getByText("End the block").tap();
    await page.getByText("Rest, pick up balls").waitFor();
    const text = await page.evaluate(() => SecondballLogic.exported(PAGE, Keep.away().all, 1));
    assert.match(own.run(["phone", "read", "-"], text), /taken in: 3 balls and 2 slips taken back/);
  });
});

test("the three bars have a sign, stay where they are, and the call is to be read from far", async () => {
  for (const viewport of [{ width: 360, height: 740 }, { width: 740, height: 360 }]) {
    await atTable("feeder", async (page) => {
      await page.setViewportSize(viewport);
      await page.getByText("Start the session").tap();
      await go(page);
      const seen = () =>
        page.evaluate(() => [...document.querySelectorAll(".result button")].map((one) => {
          const { x, y, width, height } = one.getBoundingClientRect();
          return { box: [x, y, width, height].map((side) => Math.round(side * 10)), sign: one.querySelector("use").getAttribute("href"), back: getComputedStyle(one).backgroundColor };
        }));
      const first = await seen();
      assert.equal(new Set(first.map((one) => one.sign)).size, 3);
      assert.equal(new Set(first.map((one) => one.back)).size, 3);
      for (const { box } of first) assert.ok(box[1] >= viewport.height * 7.5 - 1 && box[3] > 440, `in the lower quarter: ${box}`);
      await isOut(page, 1);
      assert.deepEqual(await seen(), first);
      await page.locator(".result [data-act=missed]").tap();
      assert.deepEqual((await seen()).map((one) => one.box), first.map((one) => one.box));
      await page.getByText("Pause").first().tap();
      assert.deepEqual((await seen()).map((one) => one.box), first.map((one) => one.box));
      assert.equal(await page.locator(".nav").isVisible(), false);
      const letters = await page.evaluate(() => parseFloat(getComputedStyle(document.querySelector(".caller .stroke")).fontSize));
      assert.ok(letters >= 50, `${letters} px`);
    });
  }
});

test("calls are said in words, and only who may know sees the answer before the ball", async () => {
  await atTable("feeder", async (page) => {
    // Slowly enough that both texts of a ball stay for seconds: the browser may be busy.
    await quickly(page, 8000);
    const place = await page.evaluate(() => {
      const blocks = PAGE.caller.blocks;
      const block = blocks.findIndex((one) => one.balls.some((ball) => ball.cues.some((cue) => cue.is === "switch")));
      return { block, isHidden: blocks[block].is_hidden, ball: blocks[block].balls.findIndex((ball) => ball.cues.some((cue) => cue.is === "switch")) };
    });
    assert.equal(place.isHidden, true, "a switch round asks for the answer");
    const toTheCall = async (holder) => {
      await page.locator(holder).check();
      await page.getByText(/^Start (the session|from the beginning)/).tap();
      for (let block = 0; block < place.block; block += 1) await page.getByText("Leave it out").tap();
      await go(page);
      await page.getByText("Pause").first().tap();
      for (let ball = 0; ball < place.ball; ball += 1) await page.getByText("One ball later").tap();
    };
    await toTheCall("#table-alone");
    assert.equal(await page.locator("#table .call").first().textContent(), "Switch: long push");
    assert.equal(await page.locator("#table .big").first().textContent(), "Find the answer");
    assert.doesNotMatch(await page.locator("#table .card").textContent(), /push, |loop|flick|drop|object/, "nothing is given away");
    await go(page);
    // The next call of a person waits; the ball that left shows its answer when it was played.
    await page.locator("#table-out", { hasText: /: play it$/ }).waitFor({ timeout: 20000 });
    await page.locator("#table-out", { hasText: /: .*(push|loop|flick|drop)/ }).waitFor({ timeout: 20000 });
    await page.locator("#table-end").tap();
    await toTheCall("#table-helped");
    assert.match(await page.locator("#table .card").textContent(), /Answer: .*(push|loop|flick|drop)/);
    assert.match(await page.locator("#table .big").first().textContent(), /(left|right|middle)/i, "as the feeder sees it");
  });
});

test("a session that is ended, closed or left with the back button goes on at its ball", async () => {
  await atTable("feeder", async (page) => {
    await quickly(page, 3000);
    await page.getByText("Start the session").tap();
    await page.getByText("Leave it out").tap();
    await page.getByText("Take back").tap();
    assert.match(await page.locator("#table h2").first().textContent(), /^Block 1 of \d, [a-z]/, "with its phase");
    await go(page);
    await isOut(page, 1);
    await page.locator(".result [data-act=made]").tap();
    await page.locator("#table-end").tap();
    await page.getByText(/^Go on at block 1, ball [23]$/).waitFor();
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    await page.locator("[data-view=table]").tap();
    await page.locator("#table-go-on").tap();
    assert.match(await page.locator("#table .note").textContent(), /number of the next ball/);
    const number = async () => Number((await page.locator("#table .card .quiet").textContent()).match(/ball (\d+) of/)[1]);
    const was = await number();
    await page.getByText("One ball later").tap();
    assert.equal(await number(), was + 1);
    await page.getByText("One ball earlier").tap();
    await page.getByText("Take back").tap();
    assert.deepEqual(await page.evaluate(() => Keep.standing()), [], "a result given before the reload is taken back too");
    await go(page);
    await page.locator("#table-due").waitFor();
    // A step back leaves the view, and not the session.
    await page.goBack();
    await page.locator("#view-today").waitFor();
    await page.locator("[data-view=table]").tap();
    await page.locator("#table .result").waitFor();
  });
});

test("a page that is hidden stops counting, says so, and lets the number be set", async () => {
  await atTable("feeder", async (page) => {
    await page.getByText("Start the session").tap();
    await go(page);
    await page.locator("#table-due").waitFor();
    await page.evaluate(() => {
      Object.defineProperty(document, "visibilityState", { configurable: true, get: () => "hidden" });
      document.dispatchEvent(new Event("visibilitychange"));
    });
    assert.match(await page.locator("#table .note").textContent(), /The page was hidden, so it stopped counting/);
    await page.getByText("One ball later").tap();
    await go(page);
    await page.locator("#table-due").waitFor();
  });
});

test("a launcher's settings, its limits and the balls it throws are said as they are", async () => {
  await atTable("fixed", async (page) => {
    const session = await page.evaluate(() => ({ received: PAGE.caller.received, leaving: PAGE.caller.leaving, cannot: PAGE.caller.cannot }));
    const start = await page.locator("#table").textContent();
    assert.ok(start.includes(`${session.received} balls to play; ${session.leaving} leave the launcher`), start.slice(0, 300));
    assert.equal(session.received, 48);
    assert.ok(session.cannot.length > 0);
    for (const said of session.cannot) assert.ok(start.toLowerCase().includes(said.toLowerCase()), said);
    await page.getByText("Start the session").tap();
    const block = await page.locator("#table").textContent();
    assert.match(block, /\d+ balls to play, one every \d+\.\d s; \d+ leave the launcher\. The first (\d are test balls|is a test ball)\./);
    assert.match(block, /First bounce \d+ cm from their end line/);
    await go(page);
    assert.match(await page.locator("#table .card .quiet").textContent(), /^Next: test ball 1 of \d/);
  });
});
