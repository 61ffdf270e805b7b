// What axe finds on a page.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const source = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

export async function axeFinds(page) {
  await page.evaluate(source);
  const { violations } = await page.evaluate((runOnly) => axe.run(document, { runOnly }), RULES);
  return violations.map((one) => `${one.id} (${one.impact}): ${one.nodes.map((node) => node.html.slice(0, 120)).join(" | ")}`);
}
