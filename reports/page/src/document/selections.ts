// Selections and sums of the document that several views show: months over all lines, years in order of supply, origins in one order.
// Only means and by-year means are added up; quantiles are taken from the document as they are.
import type { Blend, Figure, Month, Plan, Region } from "./types";

export const zero = (f: Figure): number => f ?? 0;
export const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

/** A year, a month or a mean counts as short above this share of its need: the tolerance behind chance_covered. */
export const kShortShare = 1e-3;

/** Scenarios the programme covers and how many of them share a weather year, from the run's own settings; null where those do not say. */
export function scenarios(plan: Plan): { count: number; eachYear: number } | null {
  const each = Number(plan.assumptions.find((a) => a.name === "programme_draws_per_year")?.value);
  return plan.season.model !== "formulas" && Number.isInteger(each) && each > 0 && plan.years.length > 0 ? { count: each * plan.years.length, eachYear: each } : null;
}

/** One month over some or all lines. Means in tonnes of need. */
export interface MonthTotal {
  month: string; need: number; cover: number; unmet: number;
  unmetByYear: number[];                       // [year]
  parts: { blend: Blend; t: number }[];        // mean t_equiv by heap group
}

export function monthTotals(plan: Plan, line: string | null): MonthTotal[] {
  const groups = new Map<string, Month[]>();
  for (const m of plan.months) {
    if (line !== null && m.line !== line) continue;
    groups.set(m.month, [...(groups.get(m.month) ?? []), m]);
  }
  return [...groups].sort(([a], [b]) => (a < b ? -1 : 1)).map(([month, rows]) => {
    const need = sum(rows.map((r) => zero(r.need_t))), unmet = sum(rows.map((r) => zero(r.unmet_t.mean)));
    return {
      month, need, unmet, cover: Math.max(0, need - unmet),
      unmetByYear: plan.years.map((_, i) => sum(rows.map((r) => zero(r.unmet_by_year_t[i] ?? null)))),
      parts: rows.flatMap((r) => r.blend.map((b) => ({ blend: b, t: zero(b.t_equiv.mean) }))),
    };
  });
}

export const lines = (plan: Plan): string[] => [...new Set(plan.months.map((m) => m.line))];

/** One weather year over the whole horizon. */
export interface YearTotal { index: number; year: number; kind: string; weight: number; rain: Figure; qualifying: Figure; unmet: number; short: boolean; firstShort: string | null }

export function yearTotals(plan: Plan): YearTotal[] {
  const months = monthTotals(plan, null), need = sum(months.map((m) => m.need));
  const supply = new Map(plan.supply.by_year.map((y) => [y.year, y.qualifying_t]));
  return plan.years.map((y, index) => {
    const unmet = sum(months.map((m) => m.unmetByYear[index] ?? 0));
    const short = unmet > kShortShare * need && unmet > 0;
    const gap = (m: MonthTotal) => m.unmetByYear[index] ?? 0, first = short ? (months.find((m) => gap(m) > kShortShare * m.need && gap(m) > 0) ?? months.find((m) => gap(m) > 0) ?? null) : null;
    return { index, year: y.year, kind: y.kind, weight: y.weight, rain: y.rain_mm, qualifying: supply.get(y.year) ?? null, unmet, short, firstShort: first?.month ?? null };
  });
}

/** Years from least to most qualifying grain; years without a figure come last. */
export function bySupply(years: readonly YearTotal[]): YearTotal[] {
  return [...years].sort((a, b) => (a.qualifying ?? Infinity) - (b.qualifying ?? Infinity) || a.year - b.year);
}

/** How dry a region is, from what drought takes less what waterlogging takes (t/ha). The document holds no rain by region. */
export const dryness = (r: Region): number => zero(r.loss_t_ha.water) - zero(r.loss_t_ha.waterlogging);

export function regionsDryToWet(plan: Plan): { region: Region; index: number }[] {
  return plan.regions.map((region, index) => ({ region, index })).sort((a, b) => dryness(b.region) - dryness(a.region) || a.index - b.index);
}

/** An origin as every view orders and colours it. `members` are the origins of the document that it stands for. */
export interface Origin { name: string; home: boolean; members: string[]; t: number; slot: number }

const kMostOrigins = 8;

/** Origins: home from dry to wet, then what is only in store, then bought in the order of the document; past eight, the smallest are taken together. */
export function origins(plan: Plan): Origin[] {
  const used = new Map<string, number>();
  for (const m of plan.months) for (const b of m.blend) used.set(b.origin, (used.get(b.origin) ?? 0) + zero(b.t.mean));
  const ha = new Map<string, { dry: number; weight: number }>();
  for (const r of plan.regions) {
    const w = zero(r.planted_ha) || 1, at = ha.get(r.origin) ?? { dry: 0, weight: 0 };
    ha.set(r.origin, { dry: at.dry + w * dryness(r), weight: at.weight + w });
  }
  const home = [...ha].map(([name, x]) => ({ name, dry: x.dry / x.weight })).sort((a, b) => b.dry - a.dry);
  const buys = new Set(plan.purchases.map((p) => p.origin).filter((name) => !ha.has(name))), stored = [...used.keys()].filter((name) => !ha.has(name) && !buys.has(name));
  const each = [...[...home.map((h) => h.name), ...stored].map((name) => ({ name, home: true })), ...[...buys].map((name) => ({ name, home: false }))].map((o) => ({ ...o, members: [o.name], t: used.get(o.name) ?? 0 }));
  const all = each.length > kMostOrigins ? merged(each) : each, slots = slotOf(all);
  return all.map((o, i) => ({ ...o, slot: slots[i] ?? 7 }));
}

type Plain = Omit<Origin, "slot">;

// The largest by name, the rest of the home regions as one, the rest of the bought as one.
function merged(each: readonly Plain[]): Plain[] {
  const kept = new Set([...each].sort((a, b) => b.t - a.t).slice(0, kMostOrigins - 2).map((o) => o.name));
  const group = (home: boolean): Plain[] => {
    const rest = each.filter((o) => o.home === home && !kept.has(o.name)), first = rest[0];
    return first === undefined ? [] : rest.length === 1 ? [first] : [{ name: `${rest.length} more ${home ? "home" : "bought"}`, home, members: rest.map((o) => o.name), t: sum(rest.map((o) => o.t)) }];
  };
  return [true, false].flatMap((home) => [...each.filter((o) => o.home === home && kept.has(o.name)), ...group(home)]);
}

// Colour slots: home takes 0-3, bought 4-7; whichever has more than four borrows what the other leaves free.
function slotOf(all: readonly { home: boolean }[]): number[] {
  const free = [0, 1, 2, 3, 4, 5, 6, 7];
  const take = (from: number) => free.splice(Math.max(0, free.findIndex((s) => s >= from)), 1)[0] ?? 7;
  const slots = new Array<number>(all.length).fill(7);
  let home = 0, bought = 0;
  all.forEach((o, i) => { if (o.home && home++ < 4) slots[i] = take(0); else if (!o.home && bought++ < 4) slots[i] = take(4); else slots[i] = -1; });
  return slots.map((s) => (s === -1 ? take(0) : s));
}

/** Three whole years that stand for the rest: the middle one of the dry, normal and wet years by supply, or poor, middle and good where weather has no kinds. */
export function threeYears(years: readonly YearTotal[]): { title: string; year: YearTotal }[] {
  const sorted = bySupply(years).filter((y) => y.qualifying !== null);
  const middle = (kind: string): YearTotal | undefined => { const some = sorted.filter((y) => y.kind === kind); return some[Math.floor((some.length - 1) / 2)]; };
  const kinds = [["dry", "a dry year"], ["normal", "a middle year"], ["wet", "a wet year"]] as const;
  const picked = kinds.flatMap(([kind, title]) => { const year = middle(kind); return year ? [{ title, year }] : []; });
  if (picked.length === 3) return picked;
  const at = (p: number) => sorted[Math.round(p * (sorted.length - 1))];
  const levels = [[0.1, "a poor year"], [0.5, "a middle year"], [0.9, "a good year"]] as const;
  const found = levels.flatMap(([p, title]) => { const year = at(p); return year ? [{ title, year }] : []; });
  return found.filter((x, i) => found.findIndex((y) => y.year === x.year) === i);
}
