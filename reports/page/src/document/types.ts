// The plan document as the page sees it (plan.json, schema 1), after read.ts has made every list a list and every hole a null.
// Percentages 0-100, shares 0-1, months YYYY-MM, dates YYYY-MM-DD, tonnes at 14.5 % moisture.
import type { MultiPolygon, Polygon } from "geojson";
import type { Answers, Security } from "./decision";

export type Figure = number | null;
export interface Range { mean: Figure; p10: Figure; p50: Figure; p90: Figure }
export interface DateRange { p10: string | null; p50: string | null; p90: string | null }
export type Interval = [Figure, Figure];

export interface Season {
  crop_year: Figure; as_of: string; case: string; limit_n_pct: Figure; stop_n_pct: Figure; limit_policy: string; seed: Figure; currency: string; model: string; weather_known_through: string | null;
}
export interface WeatherYear { year: number; weight: number; rain_mm: Figure; kind: string }
export interface RegionYear { year: number; yield_t_ha: Figure; n_pct: Figure; screenings_pct: Figure; qualifying_share: Figure; offered_t: Figure; qualifying_t: Figure; sown: string | null; ripe: string | null; harvested: string | null; causes: Record<Step, Figure>; drivers: string[] }
export const kCauses = ["nitrogen", "screenings", "germination", "other"] as const;
export const kLosses = ["sowing", "water", "waterlogging", "frost", "heat", "harvest"] as const;
export const kCostParts = ["contracts", "purchases", "freight", "options", "storage", "interest", "claims", "rejects", "unmet", "outlets"] as const;
/** From what the season could have grown to what qualifies: the first less the ten between is the last. */
export const kSteps = ["attainable", ...kLosses, ...kCauses, "qualifying"] as const;
export type Step = (typeof kSteps)[number];
export const kAtHarvest = ["moisture_pct", "combine_days", "wet_days", "late_share"] as const;
export type Cause = (typeof kCauses)[number];
export type Loss = (typeof kLosses)[number];
export type CostPart = (typeof kCostParts)[number];

export interface Region {
  region: string; name: string; origin: string; planted_ha: Figure; harvested_ha: Figure; suitability: string[];
  yield_t_ha: Range; n_pct: Range; n_accepted_pct: Range; screenings_pct: Range; qualifying_share: Range;
  offered_t: Range; qualifying_t: Range; with_claim_t: Range; rejected_t: Range;
  rejected_by_cause_t: Record<Cause, Figure>;
  sown: DateRange; heading: DateRange; ripe: DateRange; harvested: DateRange;
  loss_t_ha: Record<Loss, Figure>; harvest_weather: Record<(typeof kAtHarvest)[number], Figure>; causes: Record<Step, Figure>; drivers: string[]; by_year: RegionYear[];
}
export interface Contract { contract: string; file: string; row: Figure; region: string; form: string; signed: boolean; amount: Figure; unit: string; proposed: Figure; delivered_t: Range; accepted_t: Range; made_good_t: Range; cost: Range }
export interface Supply { qualifying_t: Range; by_year: { year: number; qualifying_t: Figure }[]; if_regions_were_independent: Range; one_in_twenty: { t: Figure; if_regions_were_independent_t: Figure }; sampling: { p10: Interval; p50: Interval; p90: Interval } }
export interface NeedStep { name: string; factor: Figure; status: string }
export interface Need { spirit_lpa: Figure; malt_t: Figure; barley_t: Figure; steps: NeedStep[]; by_month: { month: string; line: string; need_t: Figure }[] }
export interface Cover { backup_t: Range; unmet_t: Range; surplus_t: Range; chance_covered: Figure; first_unmet_month: Record<string, number> }
export interface Decision { what: string; source: string; by: string; t: Figure; stage: string; if_not: string }
export interface Purchase { source: string; origin: string; stage: string; t: Range; price: Range }
export interface Blend { origin: string; source: string; crop_year: Figure; t: Range; t_equiv: Range; share: Range; by_year_t: Figure[] }
export interface Month { month: string; line: string; need_t: Figure; unmet_t: Range; unmet_by_year_t: Figure[]; n_pct: Range; blend: Blend[] }
export interface Stock { month: string; origin: string; crop_year: Figure; opening_t: Range; arrivals_t: Range; used_t: Range; lost_t: Range; sold_t: Range; closing_t: Range }
export interface Cost { total: Range; lambda: Figure; alpha: Figure; cvar: Figure; parts: Record<CostPart, Range>; value_of_stochastic_solution: Figure; value_of_perfect_information: Figure }
export interface MapRegion { region: string; name: string; geometry: Polygon | MultiPolygon }
export interface MapCell { lon: number; lat: number; w: number; h: number; qualifying_t_ha: number }
export interface MapBlock { regions: MapRegion[]; cells: MapCell[] }
export interface Assumption { name: string; value: string; unit: string; status: string; source: string }
export interface Input { path: string; sha256: string; role: string }
export interface Backtest { kind: string; of: string; date: string; n: Figure; hits: Figure; hits_interval: Interval; bias: Figure; crps: Figure; crps_five_year_mean: Figure; verdict: string; reason: string }

export interface Plan {
  version: string; schema: string; season: Season; first_month: string; last_month: string; intake_closed: string;
  years: WeatherYear[]; regions: Region[]; contracts: Contract[]; supply: Supply; need: Need; cover: Cover;
  security: Security; answers: Answers | null; decisions: Decision[]; purchases: Purchase[]; months: Month[]; stock: Stock[]; cost: Cost; map: MapBlock | null;
  limit_used: { year: number; limit_n_pct: Figure }[]; backtest: Backtest | null; warnings: string[]; cautions: string[]; assumptions: Assumption[]; inputs: Input[];
}
