// The sample documents by name: one like the demo, and the ugly ones that a page must survive.
import { samplePlan } from "./plan.mjs";

const kCautions = [
  "A forecast, not agronomic, financial, legal or food-safety advice. Contract clauses and price cover need a lawyer or a licensed adviser.",
  "Labels, local codes and qualified advisers rule on spraying and nitrogen; this plan sets no dose.",
  "Mycotoxin risk read from weather is not a test. Hold and test flagged lots; legal limits change.",
  "Grain stores can kill: engulfment, bad air, explosive dust, fumigant gas. No entry without a permit, a gas check and a rescue plan; fumigation by licensed people only.",
  "Maps are coarse; a cell is not a field. Grower records are private.",
  "Origin and carbon claims need records, not this plan.",
];
const kAssumptions = [
  { name: "spec.limit_n_pct", value: "1.65", unit: "% N dry basis", status: "yours", source: "season.toml; default 1.65" },
  { name: "demand.spirit_yield_lpa_t", value: "410", unit: "LPA/t malt", status: "seen", source: "maltster's technical note; range 395-415" },
  { name: "demand.dressing", value: "0.96", unit: "share", status: "practice", source: "trade habit" },
  { name: "crop.dilution_k", value: "0.5", unit: "", status: "derived", source: "prairies 0.83, north about 0 in the same kind of year" },
  { name: "crop.ky_grain_fill", value: "0.55", unit: "", status: "memory", source: "lower end of spring cereals" },
  { name: "crop.heat_threshold_c", value: "28", unit: "C", status: "judgement", source: "chosen so that the tool can run" },
  { name: "money.interest_pct", value: "7", unit: "% a year", status: "placeholder", source: "put your own here" },
  { name: "programme_draws_per_year", value: "4", unit: "1", status: "judgement", source: "design choice" },
  { name: "rasters.rain.unit", value: "mm", unit: "", status: "yours", source: "declared by the user; the file does not say" },
  { name: "contracts.harvested_share", value: "0.97", unit: "fraction", status: "practice", source: "default (8 rows)" },
];
const kInputs = [
  { path: "season.toml", sha256: "3f0c2a41b77d9e3f0c2a41b77d9e3f0c2a41b77d9e3f0c2a41b77d9e3f0c2a41", role: "season" },
  { path: "contracts.csv", sha256: "9ab1c0de447d1e9ab1c0de447d1e9ab1c0de447d1e9ab1c0de447d1e9ab1c0de", role: "contracts" },
  { path: "weather/rain_{year}.tif", sha256: "77aa01bc0a0a0a77aa01bc0a0a0a77aa01bc0a0a0a77aa01bc0a0a0a77aa01bc", role: "rain" },
];
const kSteps = [
  { name: "litres per tonne of malt", factor: 410, status: "seen" },
  { name: "malt kept after handling", factor: 0.995, status: "memory" },
  { name: "malt per tonne of barley", factor: 0.774, status: "derived" },
];
const kIslands = [
  { lon: -14.1, lat: 57.35, r: 0.42, phase: 0.4, regions: [{ region: "brn", name: "North Brannay" }, { region: "brv", name: "Brannay Vale" }, { region: "brm", name: "Brannay Links" }] },
  { lon: -12.6, lat: 57.7, r: 0.3, phase: 1.9, regions: [{ region: "ule", name: "Ullinsay East" }, { region: "ulr", name: "Ullinsay Ridge" }] },
  { lon: -13.0, lat: 56.75, r: 0.38, phase: 5.1, regions: [{ region: "thl", name: "Thorrey Low" }, { region: "thh", name: "Thorrey Head" }, { region: "ths", name: "Thorrey Sound" }] },
];
const region = (id, name, origin, planted_ha, yield_t_ha, n_pct, light, wet) => ({ region: id, name, origin, planted_ha, yield_t_ha, n_pct, light, wet, suitability: wet > 0.8 ? ["annual rain 1,140 mm is above 500-1,000 mm"] : [] });

export function demoOptions() {
  return {
    seed: 20270301, cropYear: 2027, asOf: "2027-03-01", firstMonth: "2027-04", months: 19, years: 30, model: "daily", islands: kIslands,
    regions: [
      region("thl", "Thorrey Low", "Thorrey", 620, 6.3, 1.53, 1.2, 0.1), region("ths", "Thorrey Sound", "Thorrey", 380, 6.1, 1.51, 0.9, 0.3), region("thh", "Thorrey Head", "Thorrey", 240, 5.8, 1.5, 0.8, 0.4),
      region("brv", "Brannay Vale", "Brannay", 540, 6.5, 1.49, 0.6, 0.3), region("brm", "Brannay Links", "Brannay", 260, 5.7, 1.47, 1.0, 0.4), region("brn", "North Brannay", "Brannay", 310, 5.9, 1.46, 0.3, 0.8),
      region("ule", "Ullinsay East", "Ullinsay", 330, 5.6, 1.45, 0.2, 0.9), region("ulr", "Ullinsay Ridge", "Ullinsay", 180, 5.2, 1.46, 0.2, 1.1),
    ],
    lines: [{ line: "island malt", month_t: 410, claim: true }, { line: "house malt", month_t: 900, claim: false }],
    stock: [{ origin: "Thorrey", crop_year: 2026, t: 3900 }, { origin: "Brannay", crop_year: 2026, t: 3500 }, { origin: "Ullinsay", crop_year: 2026, t: 700 }],
    backups: [
      { source: "Aldmark farms", origin: "Aldmark", cap_t_month: 120, cap_t_season: 1400, months: [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12], link: 0.9, price: 232, stage: "now" },
      { source: "Vesterlund pool", origin: "Vesterlund", cap_t_month: 100, cap_t_season: 1000, months: [11, 12, 1, 2, 3, 4, 5, 6], link: 0.6, price: 238, stage: "now" },
      { source: "harbour merchant", origin: "merchant mix", cap_t_month: 150, cap_t_season: 1500, months: [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12], link: 1, price: 247, stage: "after harvest" },
      { source: "spring vessel", origin: "Southmere", cap_t_month: 500, cap_t_season: 1500, months: [3, 4, 5, 6, 7, 8], link: 0, price: 251, stage: "after harvest" },
    ],
    decisions: [
      { what: "order for 2027-09 to 2028-03", source: "Aldmark farms", by: "2027-06-15", t: 640, stage: "now", if_not: "640 tonnes of need for 2027-09 to 2028-03 must come from elsewhere or go short" },
      { what: "order for 2027-11 to 2028-02", source: "Vesterlund pool", by: "2027-08-31", t: 420, stage: "now", if_not: "420 tonnes of need for 2027-11 to 2028-02 must come from elsewhere or go short" },
      { what: "order for 2028-03 to 2028-05", source: "spring vessel", by: "2028-01-20", t: 910, stage: "after harvest", if_not: "910 tonnes of need for 2028-03 to 2028-05 must come from elsewhere or go short" },
      { what: "order for 2028-06 to 2028-10", source: "harbour merchant", by: "2028-05-12", t: 380, stage: "after harvest", if_not: "380 tonnes of need for 2028-06 to 2028-10 must come from elsewhere or go short" },
    ],
    steps: kSteps, cautions: kCautions, assumptions: kAssumptions, inputs: kInputs,
    warnings: ["ranges include the draws around each weather year, so they are wider than the yearly dots", "orders for months after intake are planned as if each year were known at intake_closed", "ulr: 4 % of its area has no soil"],
  };
}

function manyRegions() {
  const o = demoOptions();
  const names = Array.from({ length: 40 }, (_, i) => `District ${i + 1} of the outer skerries`);
  o.regions = names.map((name, i) => region(`d${i}`, name, `Skerry ${i + 1}`, 40 + 5 * i, 5.5 + (i % 5) * 0.2, 1.45 + (i % 7) * 0.01, (i % 9) / 8, 1 - (i % 9) / 8));
  o.islands = Array.from({ length: 5 }, (_, k) => ({ lon: -14 + k * 0.9, lat: 57 + 0.6 * Math.sin(k), r: 0.35, phase: k, regions: o.regions.slice(8 * k, 8 * k + 8) }));
  return o;
}

function hostile() {
  const o = demoOptions();
  const names = ["<script>alert(1)</script>", "=cmd|' /C calc'!A0", "أرض الشعير الشمالية", "</script><img src=x onerror=alert(2)>", "Thequiteunreasonablylongnameofadistrictthatnobodyeverabbreviatedbecausetheformhadnolimit and its further outlying crofts, northern part", "\u202Eesrever", "A", "Line one\nline two\u0000\u2028end"];
  o.regions.forEach((r, i) => { r.name = names[i]; });
  o.islands = kIslands.map((island) => ({ ...island, regions: island.regions.map((x) => ({ ...x, name: o.regions.find((r) => r.region === x.region).name })) }));
  o.regions[0].origin = "<b>Thorrey</b>"; o.regions[2].origin = "شعير"; o.regions[4].origin = "A very long origin name that no chart margin was made for";
  o.lines[1].line = "\"house\" & <i>sons</i>";
  o.backups[0].source = "=HYPERLINK(\"http://example.invalid\")";
  o.warnings = ["<img src=x onerror=alert(3)> in a warning", "a __proto__ and ${template} in a warning"];
  o.case = "dry & <late>";
  return o;
}

/** name -> plan document (plain object, as JSON.parse would give it). */
export function samples() {
  const demo = samplePlan(demoOptions());
  const one = { ...demoOptions(), regions: demoOptions().regions.slice(0, 1), islands: [{ ...kIslands[2], regions: [kIslands[2].regions[0]] }], years: 5 };
  const formulas = { ...demoOptions(), model: "formulas", years: 200, islands: null, regions: demoOptions().regions.slice(0, 4) };
  const noBackups = { ...demoOptions(), backups: [], decisions: [] };
  const covered = { ...demoOptions(), lines: [{ line: "house malt", month_t: 300, claim: false }] };
  const nulls = structuredClone(demo);
  nulls.regions[1].n_accepted_pct = { mean: null, p10: null, p50: null, p90: null };
  nulls.regions[2].harvested = { p10: "2027-08-20", p50: "2027-09-02", p90: null };
  nulls.months[5].n_pct = { mean: null, p10: null, p50: null, p90: null };
  nulls.cost.parts.options = { mean: null, p10: null, p50: null, p90: null };
  nulls.years.forEach((y) => { y.rain_mm = null; });
  for (const block of ["map", "decisions", "purchases", "stock", "limit_used"]) delete nulls[block];
  const emptyMap = structuredClone(demo);
  emptyMap.map.cells = [];
  return {
    demo, one_region: samplePlan(one), forty_regions: samplePlan(manyRegions()), hostile: samplePlan(hostile()), formulas: samplePlan(formulas),
    no_backups: samplePlan(noBackups), always_covered: samplePlan(covered), nulls, no_cells: emptyMap,
  };
}
