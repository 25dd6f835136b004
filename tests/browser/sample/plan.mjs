// One sample plan document: consistent in its sums (offered = qualifying + rejected, use + unmet = need), invented in all else.
import { mapBlock } from "./islands.mjs";
import { mean, normals, range, uniforms } from "./random.mjs";

const kDraws = 4;
const kCauses = ["nitrogen", "screenings", "germination", "other"];

const addDays = (date, days) => new Date(Date.parse(date + "T00:00:00Z") + Math.round(days) * 86400000).toISOString().slice(0, 10);

export function monthsFrom(first, n) {
  const [y, m] = first.split("-").map(Number);
  return Array.from({ length: n }, (_, i) => `${y + Math.floor((m - 1 + i) / 12)}-${String(((m - 1 + i) % 12) + 1).padStart(2, "0")}`);
}

/** A plan of the invented archipelago. What differs between samples is in `options`; see demo.mjs. */
export function samplePlan(options) {
  const uniform = uniforms(options.seed), normal = normals(uniform);
  const months = monthsFrom(options.firstMonth, options.months);
  const drawn = options.model === "formulas";
  const years = Array.from({ length: options.years }, (_, i) => ({ year: drawn ? i + 1 : 1994 + i, dry: normal(), wetHarvest: Math.max(0, normal() - 0.8) }));
  const rank = [...years].sort((a, b) => b.dry - a.dry);
  const third = years.length / 3;
  const yearRows = years.map((y) => ({
    year: y.year, weight: 1 / years.length, rain_mm: drawn ? null : 720 - 130 * y.dry,
    kind: drawn ? "drawn" : rank.indexOf(y) < third ? "dry" : rank.indexOf(y) < 2 * third ? "normal" : "wet",
  }));

  const regions = options.regions.map((r) => regionBlock(r, years, normal, options));
  const scenarios = years.flatMap((y, yi) => Array.from({ length: kDraws }, () => ({ yi, y, factor: 1 + 0.04 * normal() })));
  const programme = allocate(options, months, years, regions, scenarios);
  const total = (yi) => regions.reduce((sum, r) => sum + r.block.by_year[yi].qualifying_t, 0);
  const totals = years.map((_, yi) => total(yi));
  const independent = range(Array.from({ length: 4000 }, () => regions.reduce((s, r) => s + r.draws[Math.floor(uniform() * r.draws.length)].qualifying, 0)));
  const together = range(scenarios.map((s) => total(s.yi) * s.factor));

  const plan = {
    rickyard: { version: "0.1.0", schema: "1" },
    season: { crop_year: options.cropYear, as_of: options.asOf, case: options.case ?? "base", limit_n_pct: 1.65, stop_n_pct: 1.7, limit_policy: "fixed", seed: options.seed, currency: "GBP", model: options.model ?? "daily" },
    horizon: { first_month: months[0], last_month: months.at(-1), intake_closed: `${options.cropYear}-10-31` },
    years: yearRows,
    regions: regions.map((r) => r.block),
    contracts: regions.map((r, i) => contractBlock(r, i)),
    supply: {
      qualifying_t: together, by_year: yearRows.map((y, i) => ({ year: y.year, qualifying_t: totals[i] })), if_regions_were_independent: independent,
      one_in_twenty: { t: together.p10 * 0.9, if_regions_were_independent_t: independent.p10 * 0.97 },
      sampling: { p10: [together.p10 * 0.93, together.p10 * 1.05], p50: [together.p50 * 0.97, together.p50 * 1.03], p90: [together.p90 * 0.98, together.p90 * 1.03] },
    },
    ...programme,
    limit_used: yearRows.map((y) => ({ year: y.year, limit_n_pct: 1.65 })),
    warnings: options.warnings, cautions: options.cautions, assumptions: options.assumptions, inputs: options.inputs,
  };
  if (options.islands) plan.map = mapBlock(options.islands, (id) => { const b = plan.regions.find((r) => r.region === id); return b ? b.qualifying_t.mean / b.harvested_ha : 0; });
  return plan;
}

function regionBlock(r, years, normal, options) {
  const harvested_ha = r.planted_ha * 0.97, drawn = options.model === "formulas";
  const draws = [];
  const by_year = years.map((y) => {
    const drought = Math.max(0, y.dry * r.light) * 0.9, waterlog = Math.max(0, -y.dry * r.wet) * 0.45;
    const yields = [], ns = [], shares = [];
    for (let d = 0; d < 8; ++d) {
      const yield_t_ha = Math.max(1.2, r.yield_t_ha - drought - waterlog + 0.28 * normal());
      const n = r.n_pct + 0.06 * drought + 0.03 * normal() - 0.02 * waterlog;
      const share = Math.min(0.97, Math.max(0.05, 0.93 / (1 + Math.exp((n - 1.66) / 0.055)) - 0.13 * y.wetHarvest));
      yields.push(yield_t_ha); ns.push(n); shares.push(share);
      draws.push({ yield_t_ha, n, share, offered: yield_t_ha * harvested_ha, qualifying: yield_t_ha * harvested_ha * share, drought, waterlog, wetHarvest: y.wetHarvest });
    }
    const last = draws.slice(-8), sown = addDays(`${options.cropYear}-03-24`, 9 * r.wet - 4 * y.dry), ripe = addDays(`${options.cropYear}-08-06`, 6 * r.wet - 5 * y.dry);
    const causes = causesOf(last, harvested_ha, r, drawn);
    return { year: y.year, causes, drivers: drawn ? [] : yearDrivers(y, causes), harvest_weather: atHarvest(y, drawn), yield_t_ha: mean(yields), n_pct: mean(ns), screenings_pct: 3 + 2 * drought, qualifying_share: mean(shares), offered_t: mean(last.map((d) => d.offered)), qualifying_t: mean(last.map((d) => d.qualifying)),
      sown: drawn ? null : sown, ripe: drawn ? null : ripe, harvested: drawn ? null : addDays(ripe, 8 + 9 * y.wetHarvest) };
  });
  const offered = mean(draws.map((d) => d.offered)), qualifying = mean(draws.map((d) => d.qualifying)), rejected = offered - qualifying;
  const parts = { nitrogen: 0.5 + r.light * 0.1, screenings: 0.12, germination: 0.2 + 0.08 * r.wet, other: 0.12 };
  const sum = kCauses.reduce((s, c) => s + parts[c], 0);
  const dates = (key) => ({ p10: drawn ? null : by_year.map((y) => y[key]).sort()[Math.floor(years.length * 0.1)], p50: drawn ? null : by_year.map((y) => y[key]).sort()[Math.floor(years.length / 2)], p90: drawn ? null : by_year.map((y) => y[key]).sort()[Math.floor(years.length * 0.9)] });
  const block = {
    region: r.region, name: r.name, origin: r.origin, planted_ha: r.planted_ha, harvested_ha, suitability: r.suitability ?? [],
    yield_t_ha: range(draws.map((d) => d.yield_t_ha)), n_pct: range(draws.map((d) => d.n)), n_accepted_pct: range(draws.map((d) => Math.min(d.n, 1.6))), screenings_pct: range(by_year.map((y) => y.screenings_pct)),
    qualifying_share: range(draws.map((d) => d.share)), offered_t: range(draws.map((d) => d.offered)), qualifying_t: range(draws.map((d) => d.qualifying)), with_claim_t: range(draws.map((d) => 0.03 * d.qualifying)), rejected_t: range(draws.map((d) => d.offered - d.qualifying)),
    rejected_by_cause_t: Object.fromEntries(kCauses.map((c) => [c, (rejected * parts[c]) / sum])),
    sown: dates("sown"), heading: { p10: drawn ? null : `${options.cropYear}-06-09`, p50: drawn ? null : `${options.cropYear}-06-14`, p90: drawn ? null : `${options.cropYear}-06-20` }, ripe: dates("ripe"), harvested: dates("harvested"),
    loss_t_ha: drawn ? { sowing: 0, water: 0, waterlogging: 0, frost: 0, heat: 0, harvest: 0 }
      : { sowing: 0.05 + 0.08 * r.wet, water: mean(draws.map((d) => d.drought)), waterlogging: mean(draws.map((d) => d.waterlog)), heat: 0.04 * r.light, frost: 0.02 + 0.03 * r.wet, harvest: 0.12 * mean(draws.map((d) => d.wetHarvest)) },
    drivers: drawn ? [] : [r.light > r.wet ? "too little water: 240 t a year on average, 0.41 t/ha" : "waterlogged soil: 130 t a year on average, 0.22 t/ha", "nitrogen outside the limits: 360 t a year on average, 0.62 t/ha"],
    causes: meanCauses(by_year.map((y) => y.causes)), harvest_weather: atHarvest({ wetHarvest: 0.3 }, drawn),
    by_year,
  };
  return { block, draws, spec: r };
}

// From attainable to qualifying, tonnes of one year: what the sample takes off its yield, and its rejects in fixed parts.
function causesOf(draws, ha, r, drawn) {
  const t = (f) => mean(draws.map(f)), micro = (x) => Math.round(x * 1e6) / 1e6, offered = t((d) => d.offered), rejected = offered - t((d) => d.qualifying);
  const field = drawn ? { sowing_t: 0, water_t: 0, waterlogging_t: 0, frost_t: 0, heat_t: 0, harvest_t: 0 }
    : { sowing_t: ha * (0.04 * r.wet - 0.01), water_t: ha * t((d) => d.drought), waterlogging_t: ha * t((d) => d.waterlog), frost_t: 0, heat_t: 0.04 * r.light * ha, harvest_t: 0.12 * ha * t((d) => d.wetHarvest) };
  const causes = { attainable_t: offered + Object.values(field).reduce((a, b) => a + b, 0), ...field, nitrogen_t: 0.55 * rejected, screenings_t: 0.15 * rejected, germination_t: 0.2 * rejected };
  return closed(Object.fromEntries(Object.entries({ ...causes, qualifying_t: t((d) => d.qualifying) }).map(([k, v]) => [k, micro(v)])));
}

function closed({ qualifying_t, ...rest }) {
  const { attainable_t, ...taken } = rest, other = Object.values(taken).reduce((a, v) => a - Math.round(v * 1e6), Math.round(attainable_t * 1e6) - Math.round(qualifying_t * 1e6)) / 1e6;
  return { ...rest, other_t: other, qualifying_t };
}

function meanCauses(years) {
  const keys = Object.keys(years[0]).filter((k) => k !== "other_t");
  return closed(Object.fromEntries(keys.map((k) => [k, Math.round(mean(years.map((y) => y[k])) * 1e6) / 1e6])));
}

const yearDrivers = (y, causes) => (y.dry > 0 ? [`too little water: ${Math.round(causes.water_t)} t more lost than on average`] : [`enough water: ${Math.round(causes.nitrogen_t / 4)} t less lost than on average`]);
const atHarvest = (y, drawn) => (drawn ? { moisture_pct: null, combine_days: null, wet_days: null, late_share: null } : { moisture_pct: 16 + 2 * y.wetHarvest, combine_days: 20 - 6 * y.wetHarvest, wet_days: 2 + 4 * y.wetHarvest, late_share: Math.min(1, 0.3 * y.wetHarvest) });

function contractBlock(r, i) {
  const area = i % 3 !== 2, b = r.block, t = Math.round(b.qualifying_t.p50 * 0.9);
  const scale = (x, f) => Object.fromEntries(Object.entries(x).map(([k, v]) => [k, v === null ? null : v * f]));
  return { contract: `${b.region}-${area ? "area" : "tonnage"}`, file: "contracts.csv", row: i + 2, region: b.region, form: area ? "area" : "tonnage", signed: i % 4 !== 3, amount: area ? b.planted_ha : t, unit: area ? "ha" : "t", proposed: area ? b.planted_ha : t,
    delivered_t: b.offered_t, accepted_t: b.qualifying_t, made_good_t: scale(b.qualifying_t, area ? 0 : 0.02), cost: scale(b.qualifying_t, 218) };
}

// Month by month, scenario by scenario: stock, then home grain, then backups in order; what is left is unmet.
function allocate(options, months, years, regions, scenarios) {
  const lines = options.lines, sources = new Map();
  const source = (origin, name, crop_year) => { const key = `${origin}|${name}|${crop_year}`; if (!sources.has(key)) sources.set(key, { origin, source: name, crop_year, use: new Map() }); return sources.get(key); };
  const need = new Map(), unmet = new Map(), bought = new Map(), stock = new Map();
  const put = (map, key, s, v) => { if (!map.has(key)) map.set(key, scenarios.map(() => 0)); map.get(key)[s] += v; };
  for (const m of months) for (const l of lines) need.set(`${m}|${l.line}`, Number(m.slice(5)) === 7 ? l.month_t * 0.35 : l.month_t);
  scenarios.forEach((sc, s) => {
    const heaps = options.stock.map((h) => ({ ...h, left: h.t, label: "in store" }));
    const home = regions.map((r) => ({ origin: r.block.origin, label: `${r.block.name} contracts`, crop_year: options.cropYear, left: r.block.by_year[sc.yi].qualifying_t * sc.factor, from: `${options.cropYear}-11` }));
    const season = new Map(options.backups.map((b) => [b.source, b.cap_t_season ?? Infinity]));
    for (const m of months) {
      const caps = new Map(options.backups.map((b) => [b.source, b.months.includes(Number(m.slice(5))) ? b.cap_t_month * Math.max(0.2, 1 - 0.3 * Math.max(0, sc.y.dry) * b.link) : 0]));
      for (const l of lines) {
        let left = need.get(`${m}|${l.line}`);
        const take = (heap, most, name) => { const t = Math.max(0, Math.min(left, most)); if (t <= 0) return 0; left -= t; heap.left -= t; put(source(heap.origin, name, heap.crop_year).use, `${m}|${l.line}`, s, t); return t; };
        const old = heaps.filter((h) => h.left > 0), oldSum = old.reduce((a, h) => a + h.left, 0), target = left;
        for (const h of old) put(stock, `${m}|${h.origin}|${h.crop_year}`, s, take(h, Math.min(h.left, (target * h.left) / oldSum), "in store"));
        const fresh = home.filter((h) => m >= h.from && h.left > 0), sum = fresh.reduce((a, h) => a + h.left, 0), want = left;
        const reserve = l.claim ? 1 : 0.97;
        for (const h of fresh) take(h, Math.min(h.left, (reserve * want * h.left) / sum), h.label);
        if (!l.claim) for (const b of options.backups) {
          const got = take({ origin: b.origin, crop_year: options.cropYear - (m < `${options.cropYear}-10` ? 1 : 0), left: 0 }, Math.min(caps.get(b.source), season.get(b.source)), b.source);
          caps.set(b.source, caps.get(b.source) - got); season.set(b.source, season.get(b.source) - got);
          put(bought, b.source, s, got);
        }
        if (left > 0) put(unmet, `${m}|${l.line}`, s, left);
      }
    }
  });
  return programmeBlocks({ options, months, years, scenarios, lines, sources: [...sources.values()], need, unmet, bought });
}

function programmeBlocks(p) {
  const { options, months, years, scenarios, lines, sources, need, unmet, bought } = p;
  const zeros = scenarios.map(() => 0);
  const byYear = (values) => years.map((_, yi) => mean(scenarios.flatMap((sc, s) => (sc.yi === yi ? [values[s]] : []))));
  const monthRows = months.flatMap((month) => lines.map((l) => {
    const key = `${month}|${l.line}`, short = unmet.get(key) ?? zeros, need_t = need.get(key);
    const used = scenarios.map((_, s) => need_t - short[s]), usedSum = used.reduce((a, b) => a + b, 0);
    const blend = sources.filter((x) => x.use.has(key)).map((x) => {
      const t = x.use.get(key), share = range(t.map((v, s) => (used[s] > 0 ? v / used[s] : NaN)));
      return { origin: x.origin, source: x.source, crop_year: x.crop_year, t: range(t), t_equiv: range(t), share: { ...share, mean: t.reduce((a, b) => a + b, 0) / usedSum }, by_year_t: byYear(t) };
    });
    return { month, line: l.line, need_t, unmet_t: range(short), unmet_by_year_t: byYear(short), n_pct: usedSum > 0 ? { mean: 1.52, p10: 1.48, p50: 1.52, p90: 1.57 } : range([]), blend };
  }));
  const needTotal = monthRows.reduce((s, r) => s + r.need_t, 0);
  const shortTotal = scenarios.map((_, s) => [...unmet.values()].reduce((a, v) => a + v[s], 0));
  const first = {};
  scenarios.forEach((_, s) => {
    const key = shortTotal[s] <= 1e-3 * needTotal ? "never" : months.find((m) => lines.some((l) => (unmet.get(`${m}|${l.line}`) ?? zeros)[s] > 1e-3 * need.get(`${m}|${l.line}`)));
    first[key] = (first[key] ?? 0) + 1 / scenarios.length;
  });
  const backup = scenarios.map((_, s) => [...bought.values()].reduce((a, v) => a + v[s], 0));
  const parts = { contracts: 3.2e6, purchases: 0, freight: 0, options: 12000, storage: 84000, interest: 61000, claims: -9000, rejects: 14000, unmet: 0, outlets: -22000 };
  const cost = Object.fromEntries(Object.entries(parts).map(([k, v]) => [k, range(scenarios.map((sc, s) => v * sc.factor + (k === "purchases" ? 236 * backup[s] : k === "freight" ? 21 * backup[s] : k === "unmet" ? 660 * shortTotal[s] : 0)))]));
  const totals = scenarios.map((sc, s) => Object.values(parts).reduce((a, v) => a + v * sc.factor, 0) + 257 * backup[s] + 660 * shortTotal[s]);
  const sorted = [...totals].sort((a, b) => b - a);
  return {
    need: { spirit_lpa: (needTotal / 3166) * 1e6, malt_t: needTotal * 0.774, barley_t: needTotal, steps: options.steps, by_month: monthRows.map((r) => ({ month: r.month, line: r.line, need_t: r.need_t })) },
    cover: { backup_t: range(backup), unmet_t: range(shortTotal), surplus_t: range(scenarios.map((sc) => Math.max(0, 900 - 700 * sc.y.dry))), chance_covered: first.never ?? 0, first_unmet_month: { ...first, never: first.never ?? 0 } },
    decisions: options.decisions,
    purchases: options.backups.filter((b) => bought.has(b.source)).map((b) => ({ source: b.source, origin: b.origin, stage: b.stage, t: range(bought.get(b.source)), price: range(scenarios.map((sc, s) => (bought.get(b.source)[s] > 0 ? b.price + 12 * Math.max(0, sc.y.dry) : NaN))) })),
    months: monthRows,
    stock: stockRows(p),
    cost: { total: range(totals), lambda: 0.5, alpha: 0.9, cvar: mean(sorted.slice(0, Math.ceil(sorted.length / 10))), parts: cost, value_of_stochastic_solution: null, value_of_perfect_information: null },
  };
}

function stockRows({ options, months, scenarios, sources }) {
  const rows = [];
  const groups = new Map();
  for (const h of options.stock) { const key = `${h.origin}|${h.crop_year}`; groups.set(key, { ...h, t: (groups.get(key)?.t ?? 0) + h.t }); }
  for (const h of groups.values()) {
    const left = scenarios.map(() => h.t);
    for (const month of months) {
      const use = scenarios.map((_, s) => sources.filter((x) => x.origin === h.origin && x.crop_year === h.crop_year && x.source === "in store").reduce((a, x) => a + [...x.use].filter(([k]) => k.startsWith(month)).reduce((b, [, v]) => b + v[s], 0), 0));
      const opening = [...left];
      use.forEach((u, s) => { left[s] -= u; });
      if (opening.some((v) => v > 1e-9)) rows.push({ month, origin: h.origin, crop_year: h.crop_year, opening_t: range(opening), arrivals_t: range(scenarios.map(() => 0)), used_t: range(use), lost_t: range(scenarios.map(() => 0)), sold_t: range(scenarios.map(() => 0)), closing_t: range(left) });
    }
  }
  return rows;
}
