// axe-core finds nothing, light and dark, narrow and wide, with every table open; focus can be seen; motion can be refused.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { check, same, test } from "../harness.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

async function violations(page) {
  // Rows of one table are alike: a few of each are enough, and axe takes its time over every cell.
  await page.evaluate(() => { document.querySelectorAll("details").forEach((d) => { d.open = true; }); document.querySelectorAll("tbody").forEach((b) => [...b.rows].slice(4).forEach((r) => r.remove())); });
  await page.evaluate(axe);
  const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
  return found.violations.map((v) => `${v.id}: ${v.help}\n    ${v.nodes.slice(0, 2).map((n) => n.html.slice(0, 160)).join("\n    ")}`).join("\n");
}

for (const [name, scheme, width] of [["demo", "light", 1440], ["demo", "dark", 1440], ["demo", "dark", 360], ["hostile", "light", 360], ["one_region", "dark", 768], ["formulas", "light", 1440], ["nulls", "dark", 1024]])
  test(`access: axe: ${name}, ${scheme}, ${width} px`, async ({ open, files }) => {
    const { page } = await open(files[name], { scheme, width });
    same(await violations(page), "", "violations");
  });

test("access: axe with a year picked", async ({ open, files, plans }) => {
  const { page } = await open(files.demo);
  await page.click(`.strip [data-year="${plans.demo.years[3].year}"]`);
  same(await violations(page), "", "violations");
});

test("access: focus is seen on every stop", async ({ open, files }) => {
  const { page } = await open(files.demo);
  let stops = 0;
  for (let i = 0; i < 45; ++i) {
    await page.keyboard.press("Tab");
    const seen = await page.evaluate(() => {
      const e = document.activeElement;
      if (!e || e === document.body) return null;
      const s = getComputedStyle(e), ring = (s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2) || (e instanceof SVGElement && parseFloat(s.strokeWidth) >= 3);
      return { ring, what: e.outerHTML.slice(0, 90) };
    });
    if (!seen) break;
    ++stops;
    check(seen.ring, `no focus ring on ${seen.what}`);
  }
  check(stops > 20, `only ${stops} stops`);
});

test("access: no motion where motion is refused", async ({ open, files }) => {
  const { page } = await open(files.demo, { motion: "reduce" });
  const moving = await page.evaluate(() => [...document.querySelectorAll("*")].filter((e) => { const s = getComputedStyle(e); return s.transitionDuration.split(",").some((d) => parseFloat(d) > 0) || s.animationName !== "none"; }).length);
  same(moving, 0, "moving elements");
  same(await page.evaluate(() => getComputedStyle(document.documentElement).scrollBehavior), "auto", "scrolling");
});
