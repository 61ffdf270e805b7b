// The player's own film: taken, marked, gone black at the cut, answered, brought home; and what is no film.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { before, test } from "node:test";
import { launch, onThePhone } from "./world.mjs";

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const all = onThePhone();
let film;

/** A film made by the browser itself: a bat that moves, a ball, a counter of frames; no sound. */
async function recorded(seconds) {
  const browser = await launch();
  try {
    const page = await browser.newPage();
    const bytes = await page.evaluate(async (seconds) => {
      const canvas = document.createElement("canvas");
      canvas.width = 160;
      canvas.height = 120;
      const draw = canvas.getContext("2d");
      const recorder = new MediaRecorder(canvas.captureStream(30), { mimeType: "video/webm" });
      const parts = [];
      recorder.ondataavailable = (event) => parts.push(event.data);
      const ended = new Promise((resolve) => { recorder.onstop = resolve; });
      recorder.start();
      const begin = performance.now();
      for (let frame = 0; performance.now() - begin < seconds * 1000; frame += 1) {
        draw.fillStyle = "#fff";
        draw.fillRect(0, 0, 160, 120);
        draw.fillStyle = "#c00";
        draw.fillRect((frame * 3) % 160, 40, 12, 30);
        draw.fillStyle = "#06c";
        draw.fillText(String(frame), 10, 20);
        await new Promise((resolve) => { setTimeout(resolve, 1000 / 30); });
      }
      recorder.stop();
      await ended;
      return [...new Uint8Array(await new Blob(parts).arrayBuffer())];
    }, seconds);
    return Buffer.from(bytes);
  } finally {
    await browser.close();
  }
}

before(async () => {
  film = await recorded(6);
});

/** Takes a film and marks contact of these serves at these seconds. */
async function marked(page, marks) {
  await page.locator("[data-view=film]").tap();
  await page.locator("#film-file").setInputFiles({ name: "invented.webm", mimeType: "video/webm", buffer: film });
  await page.locator("#film-edit").waitFor();
  for (const [second, serve] of marks) {
    await page.evaluate(async (second) => {
      const video = document.getElementById("film-video");
      if (video.readyState < 1) await new Promise((resolve) => { video.onloadedmetadata = resolve; });
      const sought = new Promise((resolve) => { video.onseeked = resolve; });
      video.currentTime = second;
      await sought;
    }, second);
    await page.locator("#film-serve").selectOption({ index: serve });
    await page.locator("#film-mark").tap();
    await page.locator("#film-said", { hasText: /^Marked/ }).waitFor();
    await page.locator("#film-edit li").nth(marks.findIndex(([at]) => at === second)).waitFor();
  }
}

const facts = (page) =>
  page.evaluate(() => Object.keys(localStorage).filter((key) => key.includes(":e:")).map((key) => JSON.parse(localStorage.getItem(key)).fact));

for (const slow of [1, 4]) test(`film goes black within a frame of the cut and its answers come home, at 1/${slow} of the speed`, async () => {
  await all.withPhone(async (page) => {
    const session = await page.context().newCDPSession(page);
    const asked = [];
    page.on("request", (request) => asked.push(request.url()));
    await marked(page, [[2.5, 1], [4.5, 2]]);
    assert.equal((await facts(page)).filter((fact) => fact.k === "seen" && fact.film).length, 2);
    await page.evaluate(axeSource);
    const { violations } = await page.evaluate(() => axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
    assert.deepEqual(violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.html.slice(0, 120)).join(" | ")}`), []);
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
    // Closed in the middle of a clip: what was answered stays, and the round is not gone on with.
    await session.send("Emulation.setCPUThrottlingRate", { rate: 1 });
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    assert.equal((await facts(page)).filter((fact) => fact.how === "film").length, 1);
    // From contact, which is before the cut; a tap comes soon after black.
    assert.ok(answer.ms > 150 && answer.ms < 5000, JSON.stringify(answer));
  });
});

test("a film stays when the page is opened again, and is deleted only when that is said twice", async () => {
  await all.withPhone(async (page) => {
    await marked(page, [[2.5, 1]]);
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    await page.locator("[data-view=film]").tap();
    await page.getByText("invented.webm, 1 marked").tap();
    await page.locator("#film-delete").tap();
    await page.locator("#film-keep").tap();
    assert.equal(await page.locator(".films li").count(), 1);
    await page.locator("#film-delete").tap();
    await page.getByText("Delete it").tap();
    await page.locator("#film-said", { hasText: "is deleted." }).waitFor();
    assert.equal(await page.locator(".films li").count(), 0);
    const of = (await facts(page)).map((fact) => fact.k);
    assert.deepEqual(of.sort(), ["seen", "undo"], "the mark is taken back with its film");
  });
});

test("a file that is no film, and one that does not fit, are refused with a word", async () => {
  await all.withPhone(async (page) => {
    await page.locator("[data-view=film]").tap();
    await page.locator("#film-file").setInputFiles({ name: "notes.webm", mimeType: "video/webm", buffer: Buffer.from("no film at all") });
    await page.getByText("notes.webm is no film that this browser can show.").waitFor();
    await page.evaluate(() => { navigator.storage.estimate = async () => ({ usage: 90e6, quota: 90e6 + 1000 }); });
    await page.locator("#film-file").setInputFiles({ name: "long.webm", mimeType: "video/webm", buffer: film });
    await page.getByText("long.webm:").waitFor();
    assert.match(await page.locator("#film-said").textContent(), /do not fit/);
    assert.equal(await page.locator(".films li").count(), 0);
  });
});

test("where the browser keeps no films one is held until the page is closed, and said", async () => {
  await all.withPhone(async (page) => {
    await marked(page, [[2.5, 1]]).catch(() => {});
    assert.match(await page.locator("#film").textContent(), /held until the page is closed/);
  }, { init: () => { Object.defineProperty(window, "indexedDB", { get: () => { throw new Error("none"); } }); } });
});
