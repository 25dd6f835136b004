// On paper: a light document with its title block, every table open, the cautions and assumptions, and no controls.
import { check, same, test } from "../harness.mjs";

test("paper: what prints", async ({ open, files, plans }) => {
  const { page, seen } = await open(files.demo, { scheme: "dark" });
  await page.emulateMedia({ media: "print" });
  await page.waitForFunction(() => document.querySelectorAll("#page details:not([open])").length === 0).catch(() => undefined);
  const state = await page.evaluate(() => ({
    closed: [...document.querySelectorAll("#page details:not([open])")].length, strip: getComputedStyle(document.querySelector(".years")).display, paper: getComputedStyle(document.body).backgroundColor,
    cautions: document.querySelectorAll(".cautions li").length, assumptions: [...document.querySelectorAll("#basis code")].filter((c) => c.getBoundingClientRect().height > 0).length,
    title: document.querySelector(".title dl").innerText, heads: [...document.querySelectorAll("#page thead")].every((h) => getComputedStyle(h).display === "table-header-group"),
    widest: Math.max(...[...document.querySelectorAll("#page .ground .plot")].map((s) => Number(s.getAttribute("width")))),
  }));
  same(state.closed, 0, "tables left closed");
  same(state.strip, "none", "the strip of years");
  same(state.paper, "rgb(255, 255, 255)", "paper");
  same(state.cautions, plans.demo.cautions.length, "cautions");
  check(state.assumptions >= plans.demo.assumptions.length, "assumptions");
  for (const fact of ["1 March 2027", "base", "1.65 %", "Rickyard 0.1.0"]) check(state.title.includes(fact), `title block lacks ${fact}`);
  check(state.heads, "table heads do not repeat");
  check(state.widest <= 672, `a chart is ${state.widest} px wide on paper`);
  await page.emulateMedia({ media: "screen" });
  const closed = await page.waitForFunction(() => document.querySelectorAll("#page details:not([open])").length > 0).then(() => true, () => false);
  check(closed, "tables stay open after printing");
  same(seen.errors.join("; "), "", "console");
});

test("paper: a PDF of A4 pages", async ({ open, files }) => {
  const { page } = await open(files.demo);
  const pdf = (await page.pdf({ preferCSSPageSize: true })).toString("latin1");
  const sizes = [...pdf.matchAll(/\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)/g)].map((m) => [Math.round(Number(m[1])), Math.round(Number(m[2]))]);
  check(sizes.length >= 6 && sizes.length <= 30, `${sizes.length} pages`);
  check(sizes.every(([w, h]) => Math.abs(w - 595) <= 1 && Math.abs(h - 842) <= 1), `pages of ${sizes[0]}`);
});
