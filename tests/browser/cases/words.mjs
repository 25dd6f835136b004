// What the sentences claim is what the document holds: who is short, when first, over how many scenarios, and what drawn years are not.
import { check, reportOf, same, test } from "../harness.mjs";

const detail = (page) => page.textContent("#enough .detail");

/** The demo with one draw a year and given chances of the first gap. */
function once(plan, first) {
  const p = structuredClone(plan);
  p.assumptions.find((a) => a.name === "programme_draws_per_year").value = "1";
  p.cover.first_unmet_month = first;
  p.cover.chance_covered = first.never;
  return p;
}

test("words: a year is short above 0.1 % of its need, as the cover block counts it", async ({ open, plans, maker, write }) => {
  const p = once(plans.demo, { "2028-01": 1 / 30, never: 29 / 30 }), need = p.months.reduce((a, m) => a + m.need_t, 0);
  p.months.forEach((m) => { m.unmet_by_year_t = m.unmet_by_year_t.map(() => 0); });
  const january = p.months.find((m) => m.month === "2028-01"), february = p.months.find((m) => m.month === "2028-02");
  january.unmet_by_year_t[3] = 0.002 * need;
  february.unmet_by_year_t[5] = 0.0009 * need;
  const { page } = await open(write("tenth", reportOf(maker, JSON.stringify(p))));
  same(await page.textContent("#enough .answer"), "In 1 of 30 weather years the plan runs short, first in January 2028.", "answer");
  check((await page.textContent("#enough .notes")).includes("0.1 % of its need is missing."), "the note does not say 0.1 %");
  check((await detail(page)).includes("97 %, over 30 scenarios."), await detail(page));
});

test("words: months that tie for the first gap are all named", async ({ open, plans, maker, write }) => {
  const third = 1 / 30, tied = once(plans.demo, { "2028-08": third, "2028-01": third, "2028-03": third, never: 0.9 });
  const { page } = await open(write("tied", reportOf(maker, JSON.stringify(tied))));
  check((await detail(page)).includes("January 2028, March 2028 and August 2028 are equally often the first month short (3 % each)"), await detail(page));
  const single = once(plans.demo, { "2028-01": third, "2028-03": 2 * third, never: 0.9 }), other = await open(write("single", reportOf(maker, JSON.stringify(single))));
  check((await detail(other.page)).includes("most often fails first in March 2028 (7 %)"), await detail(other.page));
});

test("words: drawn years do not pose as past weather", async ({ open, files }) => {
  const { page } = await open(files.formulas);
  same(await page.locator("#where .panel").count(), 0, "years that stand for the rest");
  same(await page.locator("#risk .bracket").count(), 0, "sampling bracket");
  same(await page.locator('[data-at^="supply.sampling"]').count(), 0, "sampling rows");
  check((await page.textContent("#risk")).includes("The spread is drawn"), "nothing says that spread is drawn");
  await page.click('[aria-label="A leaner draw"]');
  check(/the draw you picked: \d+/i.test(await page.textContent("#where .panel.followed h4")), "the picked draw is called a year");
});

test("words: units of rasters are not called choices; no words of a programmer", async ({ open, files, plans, maker, write }) => {
  for (const name of ["demo", "formulas", "nulls", "no_cells"]) {
    const { page } = await open(files[name]), text = await page.evaluate(() => document.getElementById("page").textContent);
    same(/the document (holds|names|gives|has|shows)|knots?\b|SHA-256|your own, /i.exec(text)?.[0] ?? "", "", name);
  }
  const { page } = await open(files.demo);
  check((await page.textContent("#basis .answer")).includes("2 values set by you and 8 defaults"), await page.textContent("#basis .answer"));
  check((await page.textContent("#risk")).includes("against a crop that never lacks water"), "drought without what it is measured against");
  const plain = structuredClone(plans.demo);
  plain.assumptions = plain.assumptions.filter((a) => a.status !== "yours" || a.name === "rasters.rain.unit");
  const only = await open(write("units", reportOf(maker, JSON.stringify(plain))));
  check((await only.page.textContent("#basis .answer")).includes("1 value set by you (the units of your rasters) and 8 defaults"), await only.page.textContent("#basis .answer"));
});

test("words: on a phone tonnes stand beside the contract, and a cut table says so", async ({ open, files, plans }) => {
  const { page } = await open(files.demo, { width: 360 }), table = page.locator('[aria-label="Contracts"]'), box = await table.boundingBox();
  for (const end of ["mean", "p10"]) {
    const cell = await table.locator(`[data-at="contracts.0.accepted_t.${end}"]`).boundingBox();
    check(cell.x + cell.width <= box.x + box.width + 1, `accepted ${end} is out of sight`);
  }
  const before = await table.locator("thead th").count(), button = page.locator("#decide .more button", { hasText: "all 12 columns" });
  await button.click();
  check((await table.locator("thead th").count()) > before, "the button shows no more columns");
  same(await table.locator("[data-at]").count(), plans.demo.contracts.length * 6, "figures of all columns");
  await page.waitForFunction(() => /scroll the table sideways/.test(document.querySelector('[aria-label="Contracts"]').previousElementSibling?.textContent ?? "")).catch(() => check(false, "nothing says that the table scrolls"));
});
