// Every figure in a table is the document's: the value on the cell at its path, and the words within the rounding they show.
import { check, same, test } from "../harness.mjs";

const at = (plan, path) => path.split(".").reduce((v, k) => (v === null || v === undefined ? v : v[k]), plan);

// Half a unit of the last digit shown; figures over 1,000 t are shown to tens.
function allowed(words, scale) {
  const digits = (/\.(\d+)/.exec(words)?.[1] ?? "").length, shown = Number(words.replace(/[,−]/g, ""));
  return (digits > 0 ? 0.5 * 10 ** -digits : Math.abs(shown) >= 1000 && words.endsWith("0") ? 5 : 0.5) * scale + 1e-9 * scale;
}

function readable(cell) {
  const { path, value, words } = cell;
  if (value === null) return words === "–";
  if (/^[<>]/.test(words)) return words === "<1" ? value > 0 && value < 0.005 : value > 0.995 && value < 1;
  const shown = Number(words.replace(/,/g, "").replace("−", "-"));
  if (!Number.isFinite(shown)) return false;
  if (/factor$/.test(path)) return Math.abs(shown - value) <= 1e-3 * Math.abs(value);
  if (/share|chance|first_unmet_month/.test(path)) return Math.abs(shown - 100 * value) <= allowed(words, 1);
  if (/^cost\.|\.cost\./.test(path)) return Math.abs(1000 * shown - value) <= allowed(words, 1000) * (Math.abs(shown) >= 1000 ? 1 : 1);
  return Math.abs(shown - value) <= allowed(words, 1);
}

for (const name of ["demo", "one_region", "forty_regions", "hostile", "formulas", "no_backups", "always_covered", "nulls", "no_cells"])
  test(`figures: ${name}: tables hold the document's figures`, async ({ open, files, plans }) => {
    const { page } = await open(files[name]), plan = plans[name];
    const cells = await page.evaluate(() => [...document.querySelectorAll("[data-at]")].map((c) => ({ path: c.getAttribute("data-at"), value: JSON.parse(c.getAttribute("data-v")), words: c.textContent.trim() })));
    check(cells.length > 300, `only ${cells.length} figures on the page`);
    for (const c of cells) {
      const want = at(plan, c.path);
      same(c.value, want === undefined ? null : want, c.path);
      // Turned-away grain is shown per hectare, so its words are another figure than its value.
      check(/rejected_by_cause_t/.test(c.path) || readable(c), `${c.path}: ${c.value} is shown as "${c.words}"`);
    }
    for (const [block, least] of [["regions.", plan.regions.length * 7], ["months.", plan.months.length * 5], ["cost.parts.", 40], ["contracts.", plan.contracts.length * 6], ["supply.by_year.", plan.regions.length > 1 ? plan.years.length : 0], ["need.steps.", 3]])
      check(cells.filter((c) => c.path.startsWith(block)).length >= least, `too few figures of ${block} (${cells.filter((c) => c.path.startsWith(block)).length} of ${least})`);
  });

test("figures: a wrong total is shown as it stands, not recomputed", async ({ open, plans, maker, write }) => {
  const { reportOf } = await import("../harness.mjs");
  const plan = structuredClone(plans.demo);
  plan.supply.qualifying_t.p50 = 77770;
  plan.cover.chance_covered = 0.123;
  const { page } = await open(write("wrong", reportOf(maker, JSON.stringify(plan))));
  same(await page.textContent('[data-at="supply.qualifying_t.p50"]'), "77,770", "total");
  check((await page.textContent("#enough .detail")).includes("12 %"), "chance covered is not the document's");
});
