// How a round on the phone page is played by a test: the invented opponent's plan, and taps on the drawn table.

/** The plan of the invented opponent, by the words of the serve. */
export const RIGHT = {
  "short to the forehand, medium side-back, backhand motion": "forehand push, on the rise, short to the middle",
  "fast, long to the backhand, medium side-top, backhand motion": "backhand fast loop, long to the forehand",
  "half-long to the middle, heavy backspin, pendulum motion": "backhand banana flick, long to the backhand",
  "short to the wide forehand, medium sidespin, hook motion": "forehand drop, short to the forehand",
};

export const kept = (page) => page.locator("#kept").textContent();
const phase = (page, name) => page.locator(`#round[data-phase=${name}]`).waitFor({ timeout: 15000 });
export const flying = (page) => phase(page, "flight");
export const cueOf = async (page) => (await page.locator("#say .word").textContent()).trim();

/** Answers the ball in the air by tapping the drawn table. */
export async function answer(page, choose = (cue) => RIGHT[cue]) {
  await flying(page);
  const cue = await cueOf(page);
  await page.waitForTimeout(220);
  await page.locator(`#cells button[aria-label*="${choose(cue)}"]`).first().tap();
  await phase(page, "feedback");
  return { cue, said: await page.locator("#say").textContent() };
}

/** Goes on by a key: a right answer stands for a while, and shows no button for it. */
export const next = (page) => page.keyboard.press("Space");

/** Opens what is folded. */
export const unfold = (page) => page.evaluate(() => document.querySelectorAll("#today details, #hall details.fold").forEach((one) => { one.open = true; }));

export async function begin(page, what) {
  await unfold(page);
  await page.locator(what).first().tap();
  await page.locator("#panel [data-go]").tap();
}
