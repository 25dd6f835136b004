// The part of read.ts for the blocks of decision.ts: nothing in the text is trusted.
import type { Answers, Pair, Security } from "./decision";
import { figure, list, object, plain, range, text } from "./raw";
import type { Raw } from "./raw";

const pair = (v: unknown): Pair => ({ with_orders: figure(object(v)["with_orders"]), without: figure(object(v)["without"]) });
const figures = (v: unknown) => plain(v).map(figure);

export function readSecurity(d: Raw): Security {
  const store = object(d["store"]), hangs = object(d["dependence"]), carbon = object(d["carbon"]);
  return {
    months: list(object(d["cover"])["by_month"]).map((m) => ({ month: text(m["month"]), need_t: figure(m["need_t"]), chance_met: figure(m["chance_met"]), chance_met_until: figure(m["chance_met_until"]) })),
    store: { capacity_t: figure(store["capacity_t"]), chance_full: figure(store["chance_full"]), months: list(store["by_month"]).map((m) => ({ month: text(m["month"]), stock_t: range(m["stock_t"]), chance_full: figure(m["chance_full"]) })) },
    dependence: { largest: list(hangs["largest"]).map((c) => ({ contract: text(c["contract"]), share: figure(c["share"]) })), share: figure(hangs["share"]), share_in_driest_third: figure(hangs["share_in_driest_third"]) },
    claim_lines: list(d["claim_lines"]).map((c) => ({ line: text(c["line"]), origin_rule: text(c["origin_rule"]), need_t: figure(c["need_t"]), filled_t: range(c["filled_t"]), unmet_t: range(c["unmet_t"]), topped_up_t: figure(c["topped_up_t"]), words: text(c["words"]) })),
    failure: text(object(d["failure"])["words"]),
    carbon: { total_t_co2e: figure(carbon["total_t_co2e"]), by_source: list(carbon["by_source"]).map((s) => ({ source: text(s["source"]), kind: text(s["kind"]), t: figure(s["t"]), kg_co2e_per_t: figure(s["kg_co2e_per_t"]), t_co2e: figure(s["t_co2e"]) })) },
  };
}

/** Null for a document of another command. */
export function readAnswers(d: Raw): Answers | null {
  if (!Array.isArray(d["frontier"])) return null;
  const solution = object(d["solution"]), insurance = object(d["insurance"]), forms = object(d["price_forms"]), stability = list(d["stability"]), ha = d["hectares_needed"] === undefined ? null : object(d["hectares_needed"]);
  return {
    stopped: solution["status"] === "stopped", gap: figure(solution["gap"]),
    frontier: list(d["frontier"]).map((f) => ({ lambda: figure(f["lambda"]), chosen: f["chosen"] === true, expected_cost: figure(f["expected_cost"]), cvar: figure(f["cvar"]), chance_covered: figure(f["chance_covered"]), unmet_t: figure(f["unmet_t"]) })),
    worth: list(d["contracts"]).map((c) => {
      const one = object(c["one_more"]), name = text(c["contract"]), sure = stability.find((s) => text(s["contract"]) === name) ?? {};
      return { contract: name, unit: text(c["unit"]), amount: figure(c["amount"]), proposed: figure(c["proposed"]), more: figure(one["value"]), less: figure(one["less_costs"]), p10: figure(sure["p10"]), p90: figure(sure["p90"]) };
    }),
    waiting: list(d["waiting"]).map((w) => ({ source: text(w["source"]), ordered_now_t: figure(w["ordered_now_t"]), now_per_t: figure(w["now_per_t"]), later_mean_per_t: figure(w["later_mean_per_t"]), later_p90_per_t: figure(w["later_p90_per_t"]), chance_gone: figure(w["chance_gone"]) })),
    insurance: { ordered_t: figure(insurance["ordered_t"]), expected_cost: pair(insurance["expected_cost"]), cvar: pair(insurance["cvar"]), chance_covered: pair(insurance["chance_covered"]), net_cost: figure(insurance["net_cost"]) },
    limit_ladder: list(d["limit_ladder"]).map((l) => ({ limit_n_pct: figure(l["limit_n_pct"]), qualifying_t: range(l["qualifying_t"]), claims: figure(l["claims"]), litres_lost_lpa: figure(l["litres_lost_lpa"]), expected_cost: figure(l["expected_cost"]), chance_covered: figure(l["chance_covered"]), unmet_t: figure(l["unmet_t"]) })),
    price_forms: { feed: figures(forms["feed_per_t"]), contracts: list(forms["contracts"]).map((c) => ({ contract: text(c["contract"]), form: text(c["form"]), fixed: figures(c["fixed_per_t"]), feed_plus: figures(c["feed_plus_per_t"]), collar: figures(c["collar_per_t"]) })) },
    lots: list(d["lots"]).map((g) => ({ years: text(g["years"]), gap_t: figure(g["gap_t"]), choices: list(g["choices"]).map((c) => ({ sources: list(c["sources"]).map((s) => ({ source: text(s["source"]), t: figure(s["t"]) })), short_t: figure(c["short_t"]), over_t: figure(c["over_t"]), grain_cost: figure(c["grain_cost"]), cost: figure(c["cost"]), dominated: c["dominated"] === true })) })),
    hectares: ha && { chance: figure(ha["chance"]), asked_t: figure(ha["asked_t"]), hectares: figure(ha["hectares"]), hectares_needed: figure(ha["hectares_needed"]), median_surplus_t: figure(ha["median_surplus_t"]), median_surplus_cost: figure(ha["median_surplus_cost"]) },
  };
}
