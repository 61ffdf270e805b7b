// How a round on the phone page is played by a test: the invented opponent's plan, and taps on the drawn table.

/** The plan of the invented opponent, by the words of the serve. */
export const RIGHT = {
  "short to the forehand, medium side-back, backhand motion": "forehand push, on the rise, short to the middle",
  "fast, long to the backhand, medium side-top, backhand motion": "backhand fast loop, long to the forehand",
  "half-long to the middle, heavy backspin, pendulum motion": "backhand banana flick, long to the backhand",
  "short to the wide forehand, medium sidespin, hook motion": "forehand drop, short to the forehand",
};

export const kept = (page) => page.locator("#kept").textContent();
export const flying = (page) =>
  page.waitForFunction(() => document.querySelector("#ball:not([hidden])") && document.getElementById("cue").textContent.length > 3);

/** Answers the ball in the air by tapping the drawn table. */
export async function answer(page, choose = (cue) => RIGHT[cue]) {
  await flying(page);
  const cue = await page.locator("#cue").textContent();
  await page.waitForTimeout(220);
  await page.locator(`#cells button[aria-label*="${choose(cue)}"]`).first().tap();
  await page.locator(".verdict").first().waitFor();
  return { cue, verdict: await page.locator(".verdict").first().textContent() };
}

export const next = (page) => page.locator("#panel [data-go]").tap();

export async function begin(page, what) {
  await page.locator(what).first().tap();
  await page.locator("#panel [data-go]").tap();
}
