// What the page says must be what the program says at home: the sheet, the days ahead, the place of a receive.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Home, launch, open, phone, serve, today } from "./world.mjs";

let home;
let site;
let browser;
let page;
let wrong;

before(async () => {
  home = new Home();
  const ahead = new Date(Date.parse(today) + 12 * 86400000).toISOString().slice(0, 10);
  home.run(["today", "--event", `Invented open=${ahead}`, "--against", "north"]);
  site = await serve(home.page());
  browser = await launch();
  ({ page, wrong } = await open(await browser.newContext(phone), site.url));
});

after(async () => {
  await browser?.close();
  await site?.close();
  home?.remove();
});

test("the sheet has the rows of the printed one in its order, with how ready a switch is", async () => {
  const sheet = JSON.parse(home.run(["sheet", "north", "--json"]));
  await page.locator("[data-view=sheet]").tap();
  const receives = await page.locator(".sheet .receive").allTextContents();
  assert.deepEqual(receives, sheet.rows.map((row) => row.receive));
  const text = await page.locator(".sheet").textContent();
  for (const row of sheet.rows) assert.ok(text.toLowerCase().includes(row.called.toLowerCase()), row.serve);
  for (const thing of sheet.before) assert.ok(text.toLowerCase().includes(thing.toLowerCase()), thing);
  for (const one of sheet.switches) {
    assert.ok(text.includes(`${one.name} (${one.ready})`), text);
  }
  assert.ok(sheet.switches.length > 0);
});

test("the days ahead ask for what `today` says they will", async () => {
  const agenda = JSON.parse(home.run(["today", "--json"]));
  const days = await page.evaluate(() => PAGE.days);
  assert.equal(days[0].expected, agenda.list.length);
  let compared = 0;
  for (const one of agenda.days) {
    const own = days.find((other) => other.day === one.day);
    if (!own || own.day === today) continue;
    assert.equal(own.expected, one.answers, one.day);
    compared += 1;
  }
  assert.ok(compared > 5, `${compared} days`);
  await page.locator("[data-view=today]").tap();
  assert.match(await page.locator("#today").textContent(), /Invented open, (Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d.*in \d+ days/);
});

test("a receive lies on the same field in the plan, in a switch's list and in its round", async () => {
  const cells = await page.evaluate(() => {
    const found = {};
    for (const palette of PAGE.palettes) for (const choice of palette.choices) (found[choice.receive] = found[choice.receive] || []).push(choice.cell);
    return found;
  });
  assert.ok(Object.keys(cells).length >= 5);
  for (const [receive, places] of Object.entries(cells)) assert.equal(new Set(places).size, 1, `${receive}: ${places}`);
  assert.deepEqual(wrong, []);
});
