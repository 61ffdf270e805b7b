// The phone page in a real browser at phone size, beside the real program at home.
import assert from "node:assert/strict";
import { readFileSync, readdirSync, statSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { pathToFileURL } from "node:url";
import { Home, launch, open, phone, serve } from "./world.mjs";

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// The plan of the invented opponent, by the words of the serve.
const RIGHT = {
  "short to the forehand, medium side-backspin, backhand motion": "forehand push, early, short to the middle",
  "fast, long to the backhand, medium side-topspin, backhand motion": "backhand fast loop, long to the forehand",
  "half-long to the middle, heavy backspin, pendulum motion": "backhand banana flick, long to the backhand",
  "short to the wide forehand, medium sidespin, hook motion": "forehand touch, short to the forehand",
};
const SWITCHED = "short to the forehand, medium side-backspin, backhand motion";
const NEW_ANSWER = "heavy forehand push, long to the backhand";

let home;
let site;
let browser;

before(async () => {
  home = new Home();
  site = await serve(home.page());
  browser = await launch();
});

after(async () => {
  await browser?.close();
  await site?.close();
  home?.remove();
});

async function withPhone(run, options = {}, url = site.url) {
  const context = await browser.newContext({ ...phone, ...options });
  try {
    if (options.init) await context.addInitScript(options.init);
    const { page, wrong } = await open(context, url);
    await run(page, context, wrong);
    assert.deepEqual(wrong, [], "nothing may go wrong on the page");
  } finally {
    await context.close();
  }
}

const kept = (page) => page.locator("#kept").textContent();
const flying = (page) =>
  page.waitForFunction(() => document.querySelector("#ball:not([hidden])") && document.getElementById("cue").textContent.length > 3);

/** Answers the ball in the air by tapping the drawn table. */
async function answer(page, choose = (cue) => RIGHT[cue]) {
  await flying(page);
  const cue = await page.locator("#cue").textContent();
  await page.waitForTimeout(220);
  await page.locator("#cells button", { hasText: choose(cue) }).tap();
  await page.locator(".verdict").first().waitFor();
  return { cue, verdict: await page.locator(".verdict").first().textContent() };
}

const next = (page) => page.locator("#panel [data-go]").tap();

async function begin(page, what) {
  await page.locator(what).first().tap();
  await page.locator("#panel [data-go]").tap();
}

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
    assert.match(await page.locator("#panel .verdict").textContent(), /8 of 8 right, 8 in the window/);
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
    assert.match(await page.locator("#panel .took").textContent(), /^Took 0\.\d\d s \(window \d\.\d\d s\)$/);
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
          assert.match(await page.locator("#panel").textContent(), /not forehand push, early.*now heavy forehand push/);
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
  const context = await browser.newContext(phone);
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

test("the page opens and drills without a network after its first load", async () => {
  const own = await serve(join(home.root, "page"));
  const context = await browser.newContext(phone);
  try {
    const { page, wrong } = await open(context, own.url);
    await page.evaluate(() => navigator.serviceWorker.ready);
    await page.reload();
    await own.close();
    await context.setOffline(true);
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    await begin(page, "[data-list]");
    assert.match((await answer(page)).verdict, /in time/);
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
    pathToFileURL(join(home.root, "page/index.html")).href,
  );
});

test("where nothing can be stored the page says so and still gives its answers", async () => {
  await withPhone(
    async (page) => {
      assert.match(await page.locator("#storage").textContent(), /keeps nothing after the page is closed/);
      await begin(page, "[data-list]");
      await answer(page);
      await page.locator("#round-pause").waitFor();
      await page.locator("#panel [data-go]").tap();
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
  const context = await browser.newContext({ ...phone, javaScriptEnabled: false });
  try {
    const page = await context.newPage();
    await page.goto(site.url);
    const text = await page.locator("body").innerText();
    assert.match(text, /This viewer runs no scripts/);
    assert.match(text, /forehand push, early, short to the middle/);
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
        for (const view of ["today", "sheet", "table", "hall", "bring"]) {
          await page.locator(`[data-view=${view}]`).tap();
          if (view !== "bring") assert.equal(await page.locator("main img, main svg, main script").count(), 0);
        }
        await page.locator("[data-view=sheet]").tap();
        const sheet = (await page.locator("#view-sheet").textContent()).replaceAll("\u2028", " ");
        assert.ok(sheet.split(shown).length > 7, `shown as text: ${sheet.slice(0, 300)}`);
        await page.locator("[data-view=today]").tap();
        await begin(page, "[data-round^='Switch']");
        for (let ball = 0; ball < 2; ball += 1) {
          await flying(page);
          await page.waitForTimeout(200);
          await page.locator("#cells button").first().tap();
          await page.locator(".verdict").first().waitFor();
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
    const [stroke, ...where] = right.replace(", early", "").split(", ");
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

for (const scheme of ["light", "dark"]) {
  test(`axe finds nothing in ${scheme}`, async () => {
    // The page's policy runs no script but its own; the checker comes in from outside it.
    await withPhone(
      async (page) => {
        const check = async (where) => {
          await page.evaluate(axeSource);
          const { violations } = await page.evaluate(() =>
            axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }),
          );
          const told = violations.map((one) => `${where}: ${one.id} (${one.impact}): ${one.nodes.map((node) => node.html.slice(0, 120)).join(" | ")}`);
          assert.deepEqual(told, []);
        };
        for (const view of ["today", "sheet", "table", "hall", "bring"]) {
          await page.locator(`[data-view=${view}]`).tap();
          await check(view);
        }
        await page.locator("[data-view=today]").tap();
        await page.locator("[data-list]").first().tap();
        await check("ready");
        await page.locator("#panel [data-go]").tap();
        await flying(page);
        await page.waitForTimeout(200);
        await page.locator("#cells button").first().tap();
        await check("feedback");
        await page.locator("#round-pause").tap();
        await check("paused");
        await page.locator("#panel [data-leave]").tap();
        await page.locator("[data-view=bring]").tap();
        await check("bring with an answer");
      },
      { colorScheme: scheme, bypassCSP: true },
    );
  });
}

test("nothing is cut off at the side, upright or lying, and targets are large enough", async () => {
  for (const viewport of [{ width: 320, height: 640 }, { width: 360, height: 740 }, { width: 740, height: 360 }, { width: 1280, height: 800 }]) {
    await withPhone(
      async (page) => {
        for (const view of ["today", "sheet", "table", "hall", "bring"]) {
          await page.locator(`[data-view=${view}]`).tap();
          const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
          assert.ok(wide <= 0, `${view} at ${viewport.width}: ${wide} px too wide`);
        }
        await page.locator("[data-view=today]").tap();
        await page.locator("[data-list]").first().tap();
        await page.locator("#panel [data-go]").tap();
        const small = await page.evaluate(() =>
          [...document.querySelectorAll("#cells button")]
            .map((button) => ({ box: button.getBoundingClientRect(), over: button.scrollHeight - button.clientHeight, text: button.textContent }))
            .filter(({ box, over }) => box.width < 44 || box.height < 24 || over > 2)
            .map(({ box, over, text }) => `${text}: ${Math.round(box.width)} x ${Math.round(box.height)}, ${over} over`),
        );
        assert.deepEqual(small, [], `${viewport.width} x ${viewport.height}`);
      },
      { viewport },
    );
  }
});

test("it is usable within a second of opening on a slow processor", async (t) => {
  const size = statSync(join(home.root, "page/index.html")).size;
  assert.ok(size <= 300 * 1024, `${size} bytes`);
  const times = [];
  for (let turn = 0; turn < 3; turn += 1) {
    const context = await browser.newContext(phone);
    const page = await context.newPage();
    const cdp = await context.newCDPSession(page);
    await cdp.send("Emulation.setCPUThrottlingRate", { rate: 4 });
    await page.goto(site.url);
    await page.waitForSelector("html[data-ready=yes]");
    times.push(await page.evaluate(() => performance.getEntriesByName("ready")[0].startTime));
    await context.close();
  }
  t.diagnostic(`ready after ${times.map(Math.round).join(", ")} ms at a quarter of the speed; ${size} bytes`);
  assert.ok(Math.min(...times) < 1000, `${times}`);
});
