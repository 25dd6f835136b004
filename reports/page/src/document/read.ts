// plan.json text -> Plan. Nothing in the text is trusted: a hole becomes null or an empty list, never an exception further on.
import type { Geometry } from "geojson";
import { figure, list, object, plain, range, text } from "./raw";
import type { Raw } from "./raw";
import { readAnswers, readSecurity } from "./read_decision";
import { kAtHarvest, kCauses, kCostParts, kLosses, kSteps } from "./types";
import type { Backtest, Blend, Contract, DateRange, Figure, Interval, MapBlock, MapRegion, Month, Plan, Region, RegionYear, Step, Stock } from "./types";

const number = (v: unknown): number => figure(v) ?? 0;
const date = (v: unknown): string | null => (typeof v === "string" && /^\d{4}-\d{2}-\d{2}$/.test(v) ? v : null);
const words = (v: unknown): string[] => plain(v).map(text).filter((s) => s !== "");

function dates(v: unknown): DateRange {
  const r = object(v);
  return { p10: date(r["p10"]), p50: date(r["p50"]), p90: date(r["p90"]) };
}

function interval(v: unknown): Interval {
  const pair = plain(v);
  return [figure(pair[0]), figure(pair[1])];
}

function parts<K extends string, V>(names: readonly K[], v: unknown, read: (x: unknown) => V): Record<K, V> {
  const raw = object(v);
  return Object.fromEntries(names.map((k) => [k, read(raw[k])])) as Record<K, V>;
}

// plan.json writes the steps as attainable_t, sowing_t, ...
function steps(v: unknown): Record<Step, Figure> {
  const raw = object(v);
  return Object.fromEntries(kSteps.map((k) => [k, figure(raw[`${k}_t`])])) as Record<Step, Figure>;
}

function regionYear(r: Raw): RegionYear {
  return {
    year: number(r["year"]), yield_t_ha: figure(r["yield_t_ha"]), n_pct: figure(r["n_pct"]), screenings_pct: figure(r["screenings_pct"]), qualifying_share: figure(r["qualifying_share"]),
    offered_t: figure(r["offered_t"]), qualifying_t: figure(r["qualifying_t"]), sown: date(r["sown"]), ripe: date(r["ripe"]), harvested: date(r["harvested"]),
    causes: steps(r["causes"]), drivers: words(r["drivers"]),
  };
}

function region(r: Raw): Region {
  const id = text(r["region"]);
  return {
    region: id, name: text(r["name"]) || id, origin: text(r["origin"]) || id, planted_ha: figure(r["planted_ha"]), harvested_ha: figure(r["harvested_ha"]), suitability: words(r["suitability"]),
    yield_t_ha: range(r["yield_t_ha"]), n_pct: range(r["n_pct"]), n_accepted_pct: range(r["n_accepted_pct"]), screenings_pct: range(r["screenings_pct"]), qualifying_share: range(r["qualifying_share"]),
    offered_t: range(r["offered_t"]), qualifying_t: range(r["qualifying_t"]), with_claim_t: range(r["with_claim_t"]), rejected_t: range(r["rejected_t"]),
    rejected_by_cause_t: parts(kCauses, r["rejected_by_cause_t"], figure),
    sown: dates(r["sown"]), heading: dates(r["heading"]), ripe: dates(r["ripe"]), harvested: dates(r["harvested"]),
    loss_t_ha: parts(kLosses, r["loss_t_ha"], figure), harvest_weather: parts(kAtHarvest, r["harvest_weather"], figure), causes: steps(r["causes"]), drivers: words(r["drivers"]), by_year: list(r["by_year"]).map(regionYear),
  };
}

function contract(r: Raw): Contract {
  return {
    contract: text(r["contract"]), file: text(r["file"]), row: figure(r["row"]), region: text(r["region"]), form: text(r["form"]), signed: r["signed"] !== false, amount: figure(r["amount"]), unit: text(r["unit"]),
    proposed: figure(r["proposed"]), delivered_t: range(r["delivered_t"]), accepted_t: range(r["accepted_t"]), made_good_t: range(r["made_good_t"]), cost: range(r["cost"]),
  };
}

function blend(r: Raw): Blend {
  return { origin: text(r["origin"]), source: text(r["source"]), crop_year: figure(r["crop_year"]), t: range(r["t"]), t_equiv: range(r["t_equiv"]), share: range(r["share"]), by_year_t: plain(r["by_year_t"]).map(figure) };
}

function month(r: Raw): Month {
  return { month: text(r["month"]), line: text(r["line"]), need_t: figure(r["need_t"]), unmet_t: range(r["unmet_t"]), unmet_by_year_t: plain(r["unmet_by_year_t"]).map(figure), n_pct: range(r["n_pct"]), blend: list(r["blend"]).map(blend) };
}

function stock(r: Raw): Stock {
  return { month: text(r["month"]), origin: text(r["origin"]), crop_year: figure(r["crop_year"]), opening_t: range(r["opening_t"]), arrivals_t: range(r["arrivals_t"]), used_t: range(r["used_t"]), lost_t: range(r["lost_t"]), sold_t: range(r["sold_t"]), closing_t: range(r["closing_t"]) };
}

function areal(v: unknown): MapRegion["geometry"] | null {
  const g = v as Geometry | null | undefined;
  const has = (g?.type === "Polygon" || g?.type === "MultiPolygon") && Array.isArray(g.coordinates) && g.coordinates.length > 0;
  return has ? (g as MapRegion["geometry"]) : null;
}

// Regions come as a FeatureCollection, or as rows with `geometry` or an `outline_geojson` text.
function map(v: unknown): MapBlock | null {
  const raw = object(v);
  const rows = Array.isArray(raw["regions"]) ? list(raw["regions"]) : list(object(raw["regions"])["features"]);
  const regions = rows.flatMap((row): MapRegion[] => {
    const tags = { ...row, ...object(row["properties"]) };
    let geometry: unknown = row["geometry"];
    if (typeof row["outline_geojson"] === "string") {
      try { geometry = JSON.parse(row["outline_geojson"]); } catch { geometry = null; }
    }
    const shape = areal(geometry), id = text(tags["region"]);
    return shape ? [{ region: id, name: text(tags["name"]) || id, geometry: shape }] : [];
  });
  if (regions.length === 0) return null;
  const cells = list(raw["cells"]).flatMap((c) => {
    const [lon, lat, w, h, q] = [c["lon"], c["lat"], c["w"], c["h"], c["qualifying_t_ha"]].map(figure);
    return lon == null || lat == null || w == null || h == null || q == null ? [] : [{ lon, lat, w, h, qualifying_t_ha: q }];
  });
  return { regions, cells };
}

function backtest(v: unknown): Backtest | null {
  if (typeof v !== "object" || v === null) return null;
  const b = object(v);
  return { kind: text(b["kind"]), of: text(b["of"]), date: text(b["date"]), n: figure(b["n"]), hits: figure(b["hits"]), hits_interval: interval(b["hits_interval"]), bias: figure(b["bias"]), crps: figure(b["crps"]), crps_five_year_mean: figure(b["crps_five_year_mean"]), verdict: text(b["verdict"]), reason: text(b["reason"]) };
}

/** Reads a plan document. Throws only where the text is not JSON or not an object. */
export function readPlan(json: string): Plan {
  const parsed: unknown = JSON.parse(json);
  if (typeof parsed !== "object" || parsed === null || Array.isArray(parsed)) throw new Error("the plan document is not an object");
  const d = parsed as Raw, head = object(d["rickyard"]), s = object(d["season"]), horizon = object(d["horizon"]), supply = object(d["supply"]), sampling = object(supply["sampling"]), twenty = object(supply["one_in_twenty"]);
  const need = object(d["need"]), cover = object(d["cover"]), cost = object(d["cost"]);
  const first = Object.fromEntries(Object.entries(object(cover["first_unmet_month"])).flatMap(([k, v]) => (figure(v) === null ? [] : [[k, number(v)]])));
  const months = list(d["months"]).map(month);
  return {
    version: text(head["version"]), schema: text(head["schema"]),
    season: { crop_year: figure(s["crop_year"]), as_of: text(s["as_of"]), case: text(s["case"]), limit_n_pct: figure(s["limit_n_pct"]), stop_n_pct: figure(s["stop_n_pct"]), limit_policy: text(s["limit_policy"]), seed: figure(s["seed"]), currency: text(s["currency"]), model: text(s["model"]), weather_known_through: date(s["weather_known_through"]) },
    first_month: text(horizon["first_month"]), last_month: text(horizon["last_month"]), intake_closed: text(horizon["intake_closed"]),
    years: list(d["years"]).map((y) => ({ year: number(y["year"]), weight: number(y["weight"]), rain_mm: figure(y["rain_mm"]), kind: text(y["kind"]) })),
    regions: list(d["regions"]).map(region), contracts: list(d["contracts"]).map(contract),
    supply: { qualifying_t: range(supply["qualifying_t"]), by_year: list(supply["by_year"]).map((y) => ({ year: number(y["year"]), qualifying_t: figure(y["qualifying_t"]) })), if_regions_were_independent: range(supply["if_regions_were_independent"]), one_in_twenty: { t: figure(twenty["t"]), if_regions_were_independent_t: figure(twenty["if_regions_were_independent_t"]) }, sampling: { p10: interval(sampling["p10"]), p50: interval(sampling["p50"]), p90: interval(sampling["p90"]) } },
    need: { spirit_lpa: figure(need["spirit_lpa"]), malt_t: figure(need["malt_t"]), barley_t: figure(need["barley_t"]), steps: list(need["steps"]).map((x) => ({ name: text(x["name"]), factor: figure(x["factor"]), status: text(x["status"]) })), by_month: list(need["by_month"]).map((x) => ({ month: text(x["month"]), line: text(x["line"]), need_t: figure(x["need_t"]) })) },
    cover: { backup_t: range(cover["backup_t"]), unmet_t: range(cover["unmet_t"]), surplus_t: range(cover["surplus_t"]), chance_covered: figure(cover["chance_covered"]), first_unmet_month: first },
    decisions: list(d["decisions"]).map((x) => ({ what: text(x["what"]), source: text(x["source"]), by: text(x["by"]), t: figure(x["t"]), stage: text(x["stage"]), if_not: text(x["if_not"]) })),
    purchases: list(d["purchases"]).map((x) => ({ source: text(x["source"]), origin: text(x["origin"]), stage: text(x["stage"]), t: range(x["t"]), price: range(x["price"]) })),
    months, stock: list(d["stock"]).map(stock),
    cost: { total: range(cost["total"]), lambda: figure(cost["lambda"]), alpha: figure(cost["alpha"]), cvar: figure(cost["cvar"]), parts: parts(kCostParts, cost["parts"], range), value_of_stochastic_solution: figure(cost["value_of_stochastic_solution"]), value_of_perfect_information: figure(cost["value_of_perfect_information"]) },
    map: map(d["map"]), limit_used: list(d["limit_used"]).map((x) => ({ year: number(x["year"]), limit_n_pct: figure(x["limit_n_pct"]) })),
    security: readSecurity(d), answers: readAnswers(d), backtest: backtest(d["backtest"]),
    warnings: words(d["warnings"]), cautions: words(d["cautions"]),
    assumptions: list(d["assumptions"]).map((a) => ({ name: text(a["name"]), value: text(a["value"]), unit: text(a["unit"]), status: text(a["status"]), source: text(a["source"]) })),
    inputs: list(d["inputs"]).map((x) => ({ path: text(x["path"]), sha256: text(x["sha256"]), role: text(x["role"]) })),
  };
}
