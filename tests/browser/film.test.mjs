// The player's own film: taken, marked, gone black at the cut, answered, brought home; and what is no film.
import assert from "node:assert/strict";
import { join } from "node:path";
import { before, test } from "node:test";
import { pathToFileURL } from "node:url";
import { axeFinds } from "./checking.mjs";
import { answered, cuts, facts, marked, recorded, saidOf, sought, taken } from "./filming.mjs";
import { onThePhone, open, phone } from "./world.mjs";

const all = onThePhone();
let film;
let coarse;

before(async () => {
  film = await recorded(6);
  coarse = await recorded(3, 8);
});

for (const slow of [1, 4]) test(`film goes black within a frame of the cut and its answers come home, at 1/${slow} of the speed`, async () => {
  await all.withPhone(async (page) => {
    const session = await page.context().newCDPSession(page);
    const asked = [];
    page.on("request", (request) => asked.push(request.url()));
    await marked(page, [[2.5, 1], [4.5, 2]], film);
    assert.equal((await facts(page)).filter((fact) => fact.k === "seen" && fact.film).length, 2);
    assert.deepEqual(await axeFinds(page), []);
    await session.send("Emulation.setCPUThrottlingRate", { rate: slow });
    await page.locator("button[data-film]").tap();
    // Every frame that is seen, and when it is dark.
    await page.evaluate(() => {
      window.seen = [];
      const video = document.querySelector(".reel video");
      const look = (_, frame) => {
        window.seen.push([frame.mediaTime, document.querySelector(".reel .dark").hidden, video.paused]);
        video.requestVideoFrameCallback(look);
      };
      video.requestVideoFrameCallback(look);
    });
    await page.locator("#panel [data-go], #strip [data-go]").first().tap();
    const box = page.locator(".reel");
    await page.waitForFunction(() => window.seen.some(([, isLight]) => isLight));
    await page.waitForFunction(() => !document.querySelector(".reel .dark").hidden && window.seen.length > 10, null, { polling: 5 });
    const state = await page.evaluate(() => ({ seen: window.seen, marks: [2.5, 4.5] }));
    const light = state.seen.filter(([, isLight]) => isLight).map(([at]) => at);
    const last = Math.max(...light);
    const cut = state.marks.find((at) => Math.abs(at + 0.2 - last) < 0.5) + 0.2;
    assert.ok(last <= cut + 1 / 30 + 0.005, `seen to ${last}, cut at ${cut}`);
    assert.ok(last >= cut - 0.1, `dark too early: ${last}, cut at ${cut}`);
    // A slow machine takes longer for a picture than the answer's window lasts.
    if (slow === 1) {
    const pixels = await box.screenshot();
    const dark = await page.evaluate(async (bytes) => {
      const bitmap = await createImageBitmap(new Blob([new Uint8Array(bytes)]));
      const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
      const draw = canvas.getContext("2d");
      draw.drawImage(bitmap, 0, 0);
      const data = draw.getImageData(bitmap.width / 4, bitmap.height / 4, bitmap.width / 2, bitmap.height / 2).data;
      let most = 0;
      for (let i = 0; i < data.length; i += 4) most = Math.max(most, data[i], data[i + 1], data[i + 2]);
      return most;
    }, [...pixels]);
    assert.ok(dark < 10, `black is black: ${dark}`);
    }
    await page.locator("#cells button:not([disabled])").first().tap();
    await page.waitForFunction(() => Object.keys(localStorage).some((key) => key.includes(":e:") && JSON.parse(localStorage.getItem(key)).fact.how === "film"));
    const [answer] = (await facts(page)).filter((fact) => fact.how === "film");
    assert.equal(answer.cut, 200);
    assert.deepEqual(asked.filter((url) => !url.startsWith("blob:")), [], "nothing is asked of any network");
    // From contact, which is before the cut; a tap comes soon after black.
    assert.ok(answer.ms > 150 && answer.ms < 5000, JSON.stringify(answer));
  });
});

test("several serves are marked in one film, which stays where it was stopped and has no sound", async () => {
  await all.withPhone(async (page) => {
    await marked(page, [[1.5, 1], [2.5, 2], [4.5, 1]], film);
    assert.match(await page.locator("#film-time").textContent(), /^4\.5/);
    assert.equal(await page.evaluate(() => document.getElementById("film-video").webkitAudioDecodedByteCount), 0);
    await page.locator("#film-on").tap();
    await page.locator("#film-time", { hasText: /^4\.5[1-9]/ }).waitFor();
    assert.match(await page.locator("[data-film]").textContent(), /2 serves, 2 minutes/);
    await page.locator("#film-marks li").nth(1).getByText("Take back").tap();
    await page.getByText("A round needs two serves").waitFor();
  });
});

test("a film that an older page kept is still there, with its marks and every cut", async () => {
  const context = await all.browser.newContext(phone);
  try {
    const before = await context.newPage();
    await before.route("**/older", (route) => route.fulfill({ contentType: "text/html", body: "an older page" }));
    await before.goto(new URL("older", all.site.url).href);
    await before.evaluate(async (bytes) => {
      const html = await (await fetch("/index.html")).text();
      const page = JSON.parse(html.match(/<script[^>]*application\/json[^>]*>([^]*?)<\/script>/)[1]);
      const done = (request) => new Promise((resolve, reject) => {
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
      });
      const request = indexedDB.open(`secondball-film-${page.home}`, 1);
      request.onupgradeneeded = () => request.result.createObjectStore("clips", { keyPath: "id" });
      const base = await done(request);
      const [opponent] = page.opponents;
      const mark = { deck: opponent.key, serve: opponent.serves[0][0], at_ms: 2500, mirrored: false, view: { scale: 1, x: 0, y: 0 }, note: "" };
      const film = new Blob([new Uint8Array(bytes)], { type: "video/webm" });
      const clip = { id: "old", name: "older.webm", size: film.size, added: 1, film, marks: [mark] };
      await done(base.transaction("clips", "readwrite").objectStore("clips").put(clip));
      base.close();
    }, [...film]);
    const { page, wrong } = await open(context, all.site.url);
    await page.locator("[data-view=film]").tap();
    await page.getByText("older.webm").first().tap();
    await page.locator("#film-marks li").waitFor();
    assert.deepEqual(await cuts(page), [[200, 100, 0, -100], [200, 100, 0, -100]]);
    await sought(page, 1);
    assert.deepEqual(wrong, []);
  } finally {
    await context.close();
  }
});

test("each cut of a clip can be switched off but the last, and a round shows only those that are on", async () => {
  await all.withPhone(async (page) => {
    await marked(page, [[2.5, 1], [4.5, 2]], film);
    assert.deepEqual(await cuts(page), [[200, 100, 0, -100], [200, 100, 0, -100]], "the whole ladder at first");
    for (const nth of [0, 1]) for (const cut of [200, 100, -100]) {
      await page.locator("#film-marks li").nth(nth).locator(`[data-cut="${cut}"]`).tap();
      await page.locator(`#film-marks li:nth-child(${nth + 1}) [data-cut="${cut}"][aria-pressed=false]`).waitFor();
    }
    await page.locator("#film-marks [data-cut='0']").first().tap();
    await page.getByText("One must stay").waitFor();
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    await page.locator("[data-view=film]").tap();
    await page.getByText("invented.webm, 2 marked").tap();
    await page.locator("#film-marks li").nth(1).waitFor();
    const shown = await Promise.all([0, 1].map((nth) => cuts(page, nth)));
    assert.deepEqual(shown, [0, 1].map(() => [[200, 100, 0, -100], [0]]));
    await page.locator("[data-film]").tap();
    await answered(page);
    assert.equal((await facts(page)).find((fact) => fact.how === "film").cut, 0);
  });
});

test("a film that ends too early, begins too late or has few frames gets the cuts that it can show, and says why", async () => {
  await all.withPhone(async (page) => {
    await taken(page, film);
    const lastS = await page.evaluate(() => Clips.all().then(([clip]) => clip.ms / 1000));
    await sought(page, lastS - 0.05);
    await page.locator("#film-mark").tap();
    await page.locator("#film-marks li").waitFor();
    assert.match(await saidOf(page), /It goes black at contact, 0.1 s before only: the film ends/);
    assert.deepEqual((await cuts(page))[0], [0, -100]);
    await sought(page, 0.05);
    await page.locator("#film-mark").tap();
    await page.getByText("Not marked: there is too little film before it.").waitFor();
    await page.locator("#film-close").tap();
    await marked(page, [[1.5, 1]], coarse);
    assert.match(await saidOf(page), /a frame only every 0\.1\d* s/);
    assert.deepEqual((await cuts(page))[0], [200, -100]);
  });
});

test("a round of film closed in the middle keeps its answers and is not gone on with", async () => {
  await all.withPhone(async (page) => {
    await marked(page, [[2.5, 1], [4.5, 2]], film);
    await page.locator("[data-film]").tap();
    await answered(page);
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    assert.equal((await facts(page)).filter((fact) => fact.how === "film").length, 1);
    assert.equal(await page.getByText("A round was broken off").count(), 0);
    await page.locator("[data-view=film]").tap();
    await page.locator("[data-film]").waitFor();
  });
});

test("film waits on the day's card only for serves known by their flight alone, and once a day", async () => {
  await all.withPhone(async (page) => {
    await marked(page, [[2.5, 1], [4.5, 2]], film);
    await page.locator("[data-view=today]").tap();
    await page.waitForTimeout(300);
    assert.equal(await page.locator("#today [data-film]").count(), 0, "not known yet");
    // Two days of right answers to both serves, as the page itself keeps them.
    await page.evaluate(() => {
      const [{ key: deck, serves, rounds }] = PAGE.opponents;
      const script = SecondballLogic.unpack(PAGE, rounds[0].scripts[0]);
      const rightOf = (serve) => script.palette.choices[script.serves.find((cue) => cue.serve === serve).right].receive;
      for (const [nth, day] of ["2020-01-01", "2020-01-02"].entries()) {
        for (const [of, [serve]] of serves.slice(0, 2).entries()) {
          Keep.put(`e:earlier:${1 + 2 * nth + of}`, { at: Date.now() + nth, day, fact: { k: "answer", deck, serve, right: rightOf(serve), how: "snap", ms: 500, window: 900, motor: 0, input: "tap" } });
        }
      }
    });
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    const waits = page.locator("#today [data-film]");
    await waits.waitFor();
    assert.equal(await waits.textContent(), "Film: 2 serves, 2 minutes");
    await page.locator("#today summary", { hasText: "Left-hander" }).tap();
    await page.getByText("Read film").tap();
    await answered(page);
    await page.locator("#round-pause").tap();
    await page.locator("#panel [data-leave]").tap();
    // What the round came to, and then the card again.
    await page.locator("#panel [data-leave]").tap({ timeout: 1000 }).catch(() => {});
    await page.locator("#round").waitFor({ state: "hidden" });
    await waits.waitFor({ state: "detached" });
  });
});

test("a laptop reads film with keys alone, from the written folder, and home knows what is on which device", async () => {
  const file = pathToFileURL(join(all.home.root, "page/index.html")).href;
  const marks = [["laptop", { isMobile: false, hasTouch: false, viewport: { width: 1280, height: 800 } }, file], ["phone", {}, undefined]];
  for (const [device, options, url] of marks) {
    await all.withPhone(async (page) => {
      await page.locator("[data-view=film]").press("Enter");
      await page.locator("#film-file").setInputFiles({ name: "invented.webm", mimeType: "video/webm", buffer: film });
      await page.waitForFunction(() => document.activeElement.id === "film-frame");
      await page.waitForFunction(() => document.getElementById("film-video").readyState > 1);
      for (const serve of [1, 2]) {
        // Frame by frame to the contact; the first mark lies further on than the second needs film.
        for (let step = 0; step < 15; step += 1) {
          const before = await page.locator("#film-time").textContent();
          await page.keyboard.press("ArrowRight");
          await page.waitForFunction((before) => document.getElementById("film-time").textContent !== before, before);
        }
        await page.locator("#film-serve").press("Home");
        for (let down = 0; down < serve; down += 1) await page.keyboard.press("ArrowDown");
        await page.locator("#film-frame").press("Enter");
        await page.locator("#film-marks li").nth(serve - 1).waitFor();
      }
      await page.locator("[data-film]").press("Enter");
      await page.keyboard.press("Space");
      for (let answers = 1; answers <= 2; answers += 1) {
        await page.locator("#round[data-phase=flight]").waitFor();
        await page.waitForTimeout(200);
        // Two receives share that place: the key, and again.
        await page.keyboard.press("e");
        await page.keyboard.press("e");
        await page.locator("#round[data-phase=feedback]").waitFor();
        await page.waitForFunction((answers) => Keep.standing().filter((one) => one.fact.how === "film").length === answers, answers);
        await page.keyboard.press("Space");
      }
      await page.keyboard.press("Escape");
      await page.keyboard.press("Escape");
      await page.reload();
      await page.waitForSelector("html[data-ready=yes]");
      await page.locator("[data-view=film]").press("Enter");
      await page.getByText("invented.webm, 2 marked").waitFor();
      assert.equal(await page.locator("#film-device").inputValue(), device);
      const text = await page.evaluate(() => SecondballLogic.exported(PAGE, Keep.away().all, Date.now()));
      assert.match(all.home.run(["phone", "read", "-"], text), /2 answers/);
    }, options, url);
  }
  const shown = JSON.parse(all.home.run(["scout", "show", "north", "--json"]));
  const film_on = [{ device: "laptop", clips: 1 }, { device: "phone", clips: 1 }];
  assert.deepEqual(shown.serves.slice(0, 2).map((serve) => serve.film), [film_on, film_on]);
  assert.match(all.home.run(["scout", "show", "north"]), /film on laptop \(1 clip\), phone \(1 clip\)/);
  const { film: read } = JSON.parse(all.home.run(["progress", "--json"]));
  assert.equal(read.reduce((sum, one) => sum + one.of, 0), 4, JSON.stringify(read));
});
