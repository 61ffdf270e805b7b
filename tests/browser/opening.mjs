// How soon the phone page can be used on a processor four times slower than this one, which must do nothing else.
import { Home, launch, phone, serve } from "./world.mjs";

const home = new Home();
const site = await serve(home.page());
const browser = await launch();
for (let turn = 0; turn < 9; turn += 1) {
  const context = await browser.newContext(phone);
  const page = await context.newPage();
  const session = await context.newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: 4 });
  await page.goto(site.url);
  await page.waitForSelector("html[data-ready=yes]");
  const ready = await page.evaluate(() => performance.getEntriesByName("ready")[0].startTime);
  console.log(`${Math.round(ready)} ms`);
  await context.close();
}
await browser.close();
await site.close();
home.remove();
