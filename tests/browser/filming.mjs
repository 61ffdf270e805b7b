// Films of a test, and how they are taken and marked on the page.
import { launch } from "./world.mjs";

/** A film made by the browser itself: a bat that moves, a ball, a counter of frames; no sound. */
export async function recorded(seconds, rate = 30) {
  const browser = await launch();
  try {
    const page = await browser.newPage();
    const bytes = await page.evaluate(async ([seconds, rate]) => {
      const canvas = document.createElement("canvas");
      canvas.width = 160;
      canvas.height = 120;
      const draw = canvas.getContext("2d");
      const recorder = new MediaRecorder(canvas.captureStream(rate), { mimeType: "video/webm" });
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
        await new Promise((resolve) => { setTimeout(resolve, 1000 / rate); });
      }
      recorder.stop();
      await ended;
      return [...new Uint8Array(await new Blob(parts).arrayBuffer())];
    }, [seconds, rate]);
    return Buffer.from(bytes);
  } finally {
    await browser.close();
  }
}

/** Takes a film. */
export async function taken(page, buffer) {
  await page.locator("[data-view=film]").tap();
  await page.locator("#film-file").setInputFiles({ name: "invented.webm", mimeType: "video/webm", buffer });
  await page.locator("#film-edit").waitFor();
}

/** Seeks a second of the open film. */
export const sought = (page, second) =>
  page.evaluate(async (second) => {
    const video = document.getElementById("film-video");
    if (video.readyState < 1) await new Promise((resolve) => { video.onloadedmetadata = resolve; });
    const sought = new Promise((resolve) => { video.onseeked = resolve; });
    video.currentTime = second;
    await sought;
  }, second);

/** Takes a film and marks contact of these serves at these seconds. */
export async function marked(page, marks, buffer) {
  await taken(page, buffer);
  for (const [nth, [second, serve]] of marks.entries()) {
    await sought(page, second);
    await page.locator("#film-serve").selectOption({ index: serve });
    await page.locator("#film-mark").tap();
    await page.locator("#film-marks li").nth(nth).waitFor();
  }
}

/** The cuts of a mark that are offered, and of them those that are on. */
export const cuts = async (page, nth = 0) => {
  const buttons = page.locator("#film-marks li").nth(nth).locator("[data-cut]");
  return [await buttons.evaluateAll((all) => all.map((one) => Number(one.dataset.cut))), await buttons.evaluateAll((all) => all.filter((one) => one.getAttribute("aria-pressed") === "true").map((one) => Number(one.dataset.cut)))];
};
/** Begins a round of film and answers its first ball. */
export async function answered(page) {
  await page.locator("#panel [data-go]").tap();
  await page.locator("#round[data-phase=flight]").waitFor();
  await page.waitForTimeout(200);
  await page.locator("#cells button").first().tap();
  await page.waitForFunction(() => Keep.standing().some((one) => one.fact.how === "film"));
}
export const saidOf = (page) => page.locator("#film-said").textContent();

export const facts = (page) =>
  page.evaluate(() => Object.keys(localStorage).filter((key) => key.includes(":e:")).map((key) => JSON.parse(localStorage.getItem(key)).fact));
