// The phone page itself in a real browser at phone size: what it opens on, keeps, shows and lets no deck do.
import assert from "node:assert/strict";
import { readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { pathToFileURL } from "node:url";
import { answer, begin, flying, kept, next } from "./playing.mjs";
import { Home, onThePhone, open, phone, serve } from "./world.mjs";

const all = onThePhone();
const { withPhone } = all;

test("the page opens and drills without a network after its first load", async () => {
  const own = await serve(join(all.home.root, "page"));
  const context = await all.browser.newContext(phone);
  try {
    const { page, wrong } = await open(context, own.url);
    await page.evaluate(() => navigator.serviceWorker.ready);
    await page.reload();
    await own.close();
    await context.setOffline(true);
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    await begin(page, "[data-list]");
    assert.match((await answer(page)).said, /right$|then: /);
    assert.deepEqual(wrong.filter((text) => !/ERR_INTERNET_DISCONNECTED|ERR_CONNECTION/.test(text)), []);
  } finally {
    await context.close();
  }
});

test("opened as a file it drills and keeps its answers over a reload", async () => {
  await withPhone(
    async (page) => {
      await begin(page, "[data-list]");
      await answer(page);
      await page.reload();
      await page.waitForSelector("html[data-ready=yes]");
      assert.equal(await kept(page), "1 answer not yet brought home");
    },
    {},
    pathToFileURL(join(all.home.root, "page/index.html")).href,
  );
});

test("where nothing can be stored the page says so and still gives its answers", async () => {
  await withPhone(
    async (page) => {
      assert.match(await page.locator("#storage").textContent(), /keeps nothing after the page is closed/);
      await begin(page, "[data-list]");
      await answer(page);
      await page.locator("#round-pause").tap();
      await page.locator("#panel [data-leave]").tap();
      await page.locator("[data-view=bring]").tap();
      assert.match(await page.locator("#bring-text").inputValue(), /"count":1,/);
    },
    {
      init: () =>
        Object.defineProperty(window, "localStorage", {
          get() {
            throw new DOMException("blocked", "SecurityError");
          },
        }),
    },
  );
});

test("without scripts the sheets are there and say so", async () => {
  const context = await all.browser.newContext({ ...phone, javaScriptEnabled: false });
  try {
    const page = await context.newPage();
    await page.goto(all.site.url);
    const text = await page.locator("body").innerText();
    assert.match(text, /This viewer runs no scripts/);
    assert.match(text, /FH push, on the rise, short to the middle/);
  } finally {
    await context.close();
  }
});

test("nothing a deck contains runs as code or leaves its place", async () => {
  const evil = `</script><script>window.owned=1</script><img src=x onerror=owned=1>'\\"\u2028]]>{{7*7}}<!--<svg/onload=owned=1>`;
  const quoted = evil.replaceAll("\\", "\\\\").replaceAll('"', '\\"');
  const deck = `(format: 1, key: "evil22", opponent: "${quoted}", source: "${quoted}", rubbers: "${quoted}", private_note: "${quoted}",
    serves: [
      (id: "one", motion: own("${quoted}"), depth: short, lane: forehand, tells: ["${quoted}"], note: "${quoted}"),
      (id: "two", motion: pendulum, depth: long, lane: middle),
    ],
    plan: {
      "one": (wing: forehand, stroke: push, to: (lane: middle, depth: short), why: "${quoted}", expect: "${quoted}", then: "${quoted}"),
      "two": (wing: backhand, stroke: block),
    },
    switches: [(name: "${quoted}", cue: "${quoted}", changes: {"one": (wing: forehand, stroke: flick)})],
  )`;
  const own = new Home({ evil: deck });
  own.write("player.ron", readFileSync(join(own.root, "home/player.ron"), "utf8").replace("Invented Player", quoted));
  const here = await serve(own.page("--with-notes"));
  try {
    await withPhone(
      async (page) => {
        const shown = evil.replace("\u2028", " ");
        for (const view of ["today", "sheet", "table", "hall", "film", "bring"]) {
          await page.locator(`[data-view=${view}]`).tap();
          if (view !== "bring") assert.equal(await page.locator("main img, main svg, main script").count(), 0);
        }
        await page.locator("[data-view=sheet]").tap();
        const sheet = (await page.locator("#view-sheet").textContent()).replaceAll(/\u2028|<U\+2028>/g, " ");
        assert.ok(sheet.split(shown).length > 7, `shown as text: ${sheet.slice(0, 300)}`);
        await page.locator("[data-view=today]").tap();
        await begin(page, "[data-round^='Switch']");
        for (let ball = 0; ball < 2; ball += 1) {
          await flying(page);
          await page.waitForTimeout(200);
          await page.locator("#cells button").first().tap();
          await page.locator("#round[data-phase=feedback]").waitFor();
          await next(page);
        }
        assert.equal(await page.evaluate(() => window.owned), undefined);
        const text = await page.evaluate(() => SecondballLogic.exported(PAGE, Keep.away().all, 1));
        assert.match(own.run(["phone", "read", "-"], text), /taken in: 2 answers/);
      },
      {},
      here.url,
    );
  } finally {
    await here.close();
    own.remove();
  }
});

test("one card says what the day is for, and fourteen days later one line that its lists are used up", async () => {
  await withPhone(async (page) => {
    assert.equal(await page.locator("#today .card").count(), 1);
    assert.equal(await page.locator("#today .deed").count(), 1);
    assert.match(await page.locator("#today .card").textContent(), /Ready for \d of 4 serves.*\d+ balls, \d+ minutes/);
    assert.doesNotMatch(await page.locator("main").textContent(), /secondball (today|plan|phone)/);
    await page.clock.setFixedTime(Date.now() + 15 * 86400000);
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    assert.equal(await page.locator("#today .note").count(), 1);
    assert.match(await page.locator("#today .note").textContent(), /used up/);
    await begin(page, "[data-round='Whole plan']");
    await answer(page);
  });
});

test("a second Escape leaves a round, and it can be gone on with", async () => {
  await withPhone(async (page) => {
    await begin(page, "[data-list]");
    await answer(page);
    await page.keyboard.press("Escape");
    assert.match(await page.locator("#panel").textContent(), /Paused/);
    await page.keyboard.press("Escape");
    await page.locator("#round").waitFor({ state: "hidden" });
    await page.getByText("Go on with it").waitFor();
  });
});

test("notes stay home unless they are asked for", () => {
  const own = new Home();
  try {
    const without = readFileSync(join(own.page(), "index.html"), "utf8");
    assert.doesNotMatch(without, /stays at home/);
    const asked = readFileSync(join(own.page("--with-notes"), "index.html"), "utf8");
    assert.match(asked, /stays at home/);
  } finally {
    own.remove();
  }
});

test("no view is cut off at the side, upright or lying", async () => {
  for (const viewport of [{ width: 320, height: 640 }, { width: 360, height: 740 }, { width: 740, height: 360 }, { width: 1280, height: 800 }]) {
    await withPhone(
      async (page) => {
        for (const view of ["today", "sheet", "table", "hall", "bring"]) {
          await page.locator(`[data-view=${view}]`).tap();
          const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
          assert.ok(wide <= 0, `${view} at ${viewport.width}: ${wide} px too wide`);
        }
      },
      { viewport },
    );
  }
});

test("it is small enough to open at once on a slow processor", async () => {
  // How long that takes is measured by hand, on a machine that does nothing else: `node tests/browser/opening.mjs`.
  const size = statSync(join(all.home.root, "page/index.html")).size;
  assert.ok(size <= 210 * 1024, `${size} bytes`);
  await withPhone(async (page) => {
    const elements = await page.evaluate(() => document.querySelectorAll("*").length);
    assert.ok(elements <= 1000, `${elements} elements before anything is opened`);
  });
});
