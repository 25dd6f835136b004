// A picked year shows in every view; it can be picked by pointer, by keyboard in the strip, and by keyboard in a chart.
import { check, same, test } from "../harness.mjs";

async function shownEverywhere(page, plan, year) {
  same(await page.locator(`.strip [data-year="${year}"]`).getAttribute("aria-checked"), "true", "strip");
  check((await page.textContent(".readout")).includes(String(year)), "readout does not name the year");
  same(await page.locator("#risk figure").nth(0).locator("g.shown circle").count(), 1, "dot in the total");
  same(await page.locator("#risk figure").nth(1).locator("g.shown circle").count(), plan.regions.length, "dots in the regions");
  same(await page.locator("#risk g.shown .frame").count(), 1, "column among the regions");
  same(await page.locator("#where .panel.followed").count(), 1, "its own blend");
  check((await page.textContent("#where .panel.followed h4")).includes(String(year)), "blend of another year");
  same(await page.locator("#where .in-year").count(), plan.map.regions.features.length, "figures on the map");
  const index = plan.years.findIndex((y) => y.year === year), months = [...new Set(plan.months.map((m) => m.month))];
  const short = months.filter((month) => { const rows = plan.months.filter((m) => m.month === month); return rows.reduce((a, m) => a + m.unmet_by_year_t[index], 0) > 0.001 * rows.reduce((a, m) => a + m.need_t, 0); }).length;
  same(await page.locator("#enough g.followed rect").count(), short, "gaps of the year");
}

const leanest = (plan) => [...plan.supply.by_year].sort((a, b) => a.qualifying_t - b.qualifying_t)[0].year;

test("years: picked in the strip by keyboard", async ({ open, files, plans }) => {
  const { page } = await open(files.demo), plan = plans.demo, lean = leanest(plan);
  await page.locator(".strip button").first().focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("ArrowLeft");
  await page.keyboard.press("Home");
  await shownEverywhere(page, plan, lean);
  check(await page.evaluate(() => document.activeElement.matches(".strip button[aria-checked=true]")), "focus does not follow the year");
  await page.keyboard.press("Escape");
  same(await page.locator("g.shown circle").count(), 0, "a cleared year still shows");
});

test("years: picked on a dot of a chart by keyboard", async ({ open, files, plans }) => {
  const { page } = await open(files.demo);
  await page.locator("#risk figure").nth(0).locator('[data-dot][tabindex="0"]').focus();
  await page.keyboard.press("ArrowRight");
  const year = Number(await page.evaluate(() => document.activeElement.getAttribute("data-year")));
  await page.keyboard.press("Enter");
  await page.evaluate(() => document.activeElement.blur());
  await shownEverywhere(page, plans.demo, year);
});

test("years: one stop for the keyboard in each chart", async ({ open, files }) => {
  const { page } = await open(files.demo);
  const stops = await page.evaluate(() => [...document.querySelectorAll("svg.over[role=group]")].map((s) => s.querySelectorAll('[data-dot][tabindex="0"]').length));
  check(stops.length >= 3 && stops.every((n) => n === 1), `stops: ${stops}`);
});

test("years: pointed at and picked by pointer, away again", async ({ open, files, plans }) => {
  const { page } = await open(files.demo), lean = leanest(plans.demo), dot = page.locator("#risk figure").nth(0).locator(`[data-year="${lean}"]`);
  await dot.scrollIntoViewIfNeeded();
  const box = await dot.boundingBox(), x = box.x + box.width / 2 + 4, y = box.y + box.height / 2 + 3;
  await page.mouse.move(x, y);
  same(await page.locator("#risk figure").nth(1).locator("g.shown circle").count(), plans.demo.regions.length, "pointing shows the year elsewhere");
  await page.mouse.click(x, y);
  await page.mouse.move(5, 5);
  await shownEverywhere(page, plans.demo, lean);
  await page.click(".clear");
  same(await page.locator("g.shown circle").count(), 0, "all years again");
});

test("years: every strip button can be pressed by pointer", async ({ open, files, plans }) => {
  const { page } = await open(files.demo), years = plans.demo.years.slice(0, 4);
  for (const y of years) {
    await page.click(`.strip [data-year="${y.year}"]`);
    same(await page.locator(`.strip [data-year="${y.year}"]`).getAttribute("aria-checked"), "true", String(y.year));
  }
});

test("years: steps to a leaner and a fuller year on a phone", async ({ open, files, plans }) => {
  const { page } = await open(files.demo, { width: 360 }), order = [...plans.demo.supply.by_year].sort((a, b) => a.qualifying_t - b.qualifying_t).map((y) => y.year);
  await page.click('[aria-label="A leaner year"]');
  await page.click('[aria-label="A fuller year"]');
  await page.click('[aria-label="A fuller year"]');
  same(await page.locator(`.strip [data-year="${order[2]}"]`).getAttribute("aria-checked"), "true", "third leanest");
});
