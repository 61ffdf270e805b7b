// Films as the browser keeps them: over a closed page, of 200 MB, none at all, and when there is no more room.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync, truncateSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { before, test } from "node:test";
import { facts, marked, recorded, sought } from "./filming.mjs";
import { onThePhone, phone } from "./world.mjs";

const all = onThePhone();
let film;

before(async () => {
  film = await recorded(4);
});

test("a film stays when the page is opened again, and is deleted only when that is said twice", async () => {
  await all.withPhone(async (page) => {
    await marked(page, [[2.5, 1]], film);
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
    await marked(page, [[2.5, 1]], film);
    assert.match(await page.locator("#film").textContent(), /held until the page is closed/);
  }, { init: () => { Object.defineProperty(window, "indexedDB", { get: () => { throw new Error("none"); } }); } });
});

test("a film of 200 MB is taken with a word or refused with one, and the page stays usable", async () => {
  const folder = mkdtempSync(join(tmpdir(), "secondball-film-"));
  try {
    const [long, junk] = ["long.webm", "junk.webm"].map((name) => join(folder, name));
    writeFileSync(long, film);
    truncateSync(long, 200 * 1024 * 1024 + 1);
    writeFileSync(junk, "");
    truncateSync(junk, 200 * 1024 * 1024);
    await all.withPhone(async (page) => {
      await page.locator("[data-view=film]").tap();
      await page.locator("#film-file").setInputFiles(junk);
      await page.getByText("junk.webm is no film that this browser can show.").waitFor();
      await page.locator("#film-file").setInputFiles(long);
      await page.locator("#film-said", { hasText: /long.webm is kept in this browser. 200 MB: a shorter one leaves room/ }).waitFor();
      await sought(page, 2.5);
      await page.locator("#film-serve").selectOption({ index: 1 });
      await page.locator("#film-mark").tap();
      await page.locator("#film-marks li").waitFor();
      await page.reload();
      await page.waitForSelector("html[data-ready=yes]");
      await page.locator("[data-view=film]").tap();
      await page.getByText("long.webm, 1 marked, 200 MB").waitFor();
    });
  } finally {
    rmSync(folder, { recursive: true });
  }
});

test("when the storage is really full a film is held and said, and nothing that was there is lost", async () => {
  const context = await all.browser.newContext({ ...phone, serviceWorkers: "block" });
  try {
    // The browser remembers for a while how much room there is: it is small before the page opens.
    const page = await context.newPage();
    const session = await context.newCDPSession(page);
    await session.send("Storage.overrideQuotaForOrigin", { origin: new URL(all.site.url).origin, quotaSize: 8_000_000 });
    const opened = async () => {
      await page.waitForSelector("html[data-ready=yes]");
      await page.locator("[data-view=film]").tap();
    };
    await page.goto(all.site.url);
    await opened();
    const large = (bytes) => Buffer.concat([film, Buffer.alloc(bytes)]);
    await marked(page, [[2.5, 1]], large(2_000_000));
    await page.locator("#film-close").tap();
    await page.locator("#film-file").setInputFiles({ name: "second.webm", mimeType: "video/webm", buffer: large(7_000_000) });
    await page.locator("#film-said", { hasText: "This browser's storage is full: it is held until the page is closed." }).waitFor();
    assert.equal(await page.locator(".films li").count(), 2);
    await page.reload();
    await opened();
    await page.getByText("invented.webm, 1 marked").waitFor();
    assert.equal(await page.locator(".films li").count(), 1);
    assert.equal((await facts(page)).filter((fact) => fact.film).length, 1);
  } finally {
    await context.close();
  }
});

test("a film that the browser cannot read any more ends its round with a word, and no answer is made of it", async () => {
  await all.withPhone(async (page) => {
    await marked(page, [[1.7, 1], [3.2, 2]], film);
    await page.evaluate(async () => {
      const [clip] = await Clips.all();
      await Clips.put({ ...clip, film: new Blob(["no film"]) }, true);
    });
    await page.reload();
    await page.waitForSelector("html[data-ready=yes]");
    await page.locator("[data-view=film]").tap();
    await page.locator("[data-film]").tap();
    await page.locator("#panel [data-go]").tap();
    await page.locator("#film-said", { hasText: "cannot read the film any more: delete it and choose it again" }).waitFor();
    await page.locator("#round").waitFor({ state: "hidden" });
    await page.locator("#film-delete").waitFor();
    assert.equal((await facts(page)).filter((fact) => fact.k === "answer").length, 0);
  });
});

test("a browser that lets no film run by itself ends the round with a word", async () => {
  await all.withPhone(async (page) => {
    await marked(page, [[1.7, 1], [3.2, 2]], film);
    await page.evaluate(() => { HTMLMediaElement.prototype.play = () => Promise.reject(new DOMException("not now", "NotAllowedError")); });
    await page.locator("[data-film]").tap();
    await page.locator("#panel [data-go]").tap();
    await page.locator("#film-said", { hasText: "switch off its power saving" }).waitFor();
    await page.locator("#round").waitFor({ state: "hidden" });
  });
});
