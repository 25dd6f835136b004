// The blocks on safety that every plan has, and those that only the contract command fills; absent ones are empty lists or null.
import type { Figure, Range } from "./types";

export interface MonthChance { month: string; need_t: Figure; chance_met: Figure; chance_met_until: Figure }
export interface StoreMonth { month: string; stock_t: Range; chance_full: Figure }
export interface Security {
  months: MonthChance[]; store: { capacity_t: Figure; chance_full: Figure; months: StoreMonth[] };
  dependence: { largest: { contract: string; share: Figure }[]; share: Figure; share_in_driest_third: Figure };
  claim_lines: { line: string; origin_rule: string; need_t: Figure; filled_t: Range; unmet_t: Range; topped_up_t: Figure; words: string }[];
  failure: string; carbon: { total_t_co2e: Figure; by_source: { source: string; kind: string; t: Figure; kg_co2e_per_t: Figure; t_co2e: Figure }[] };
}
export interface Pair { with_orders: Figure; without: Figure }
export interface Lot { years: string; gap_t: Figure; choices: { sources: { source: string; t: Figure }[]; short_t: Figure; over_t: Figure; grain_cost: Figure; cost: Figure; dominated: boolean }[] }
export interface Answers {
  stopped: boolean; gap: Figure;
  frontier: { lambda: Figure; chosen: boolean; expected_cost: Figure; cvar: Figure; chance_covered: Figure; unmet_t: Figure }[];
  worth: { contract: string; unit: string; amount: Figure; proposed: Figure; more: Figure; less: Figure; p10: Figure; p90: Figure }[];
  waiting: { source: string; ordered_now_t: Figure; now_per_t: Figure; later_mean_per_t: Figure; later_p90_per_t: Figure; chance_gone: Figure }[];
  insurance: { ordered_t: Figure; expected_cost: Pair; cvar: Pair; chance_covered: Pair; net_cost: Figure };
  limit_ladder: { limit_n_pct: Figure; qualifying_t: Range; claims: Figure; litres_lost_lpa: Figure; expected_cost: Figure; chance_covered: Figure; unmet_t: Figure }[];
  price_forms: { feed: Figure[]; contracts: { contract: string; form: string; fixed: Figure[]; feed_plus: Figure[]; collar: Figure[] }[] };
  lots: Lot[];
  hectares: { chance: Figure; asked_t: Figure; hectares: Figure; hectares_needed: Figure; median_surplus_t: Figure; median_surplus_cost: Figure } | null;
}
