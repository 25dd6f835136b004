#include "planner/decision/limit_ladder.h"

#include <algorithm>

#include "planner/quality/bands.h"
#include "planner/sourcing/programme_terms.h"

namespace rickyard {
namespace {

using PerScenario = std::vector<double>;  // [programme scenario]

std::size_t at(int i) { return static_cast<std::size_t>(i); }

Range all_qualifying(const SupplyScenarios& supply) {
  std::vector<double> t, weight;
  for (const auto& scenario : supply.scenarios) {
    t.push_back(0);
    for (const auto& contract : scenario.contracts) t.back() += contract.qualifying_t;
    weight.push_back(scenario.weight);
  }
  return weighted_range(t, weight);
}

// t_equiv is t x e(N) / e(1.50), so what one equivalent tonne lacks against N 1.50 does not depend on its dressing.
double litres_lost(const Season& season, const SourcingResult& sourcing) {
  const auto yield = malting_yield(season);
  const double per_equivalent = reference_output(yield, NeedUnit::spirit_lpa);
  std::vector<char> spirit(sourcing.lines.size(), 0);
  for (const auto& line : line_terms(season))
    for (std::size_t l = 0; l < sourcing.lines.size(); ++l)
      if (sourcing.lines[l] == line.line) spirit[l] = line.unit == NeedUnit::spirit_lpa;
  double lost = 0;
  for (const auto& flow : sourcing.flows) {
    if (!spirit[at(flow.line)]) continue;
    const double at_n = yield.spirit_lpa_per_t - yield.spirit_loss_per_n * (flow.n_pct - kReferenceN);
    lost += sourcing.weight[at(flow.scenario)] * flow.t_equiv * per_equivalent * (yield.spirit_lpa_per_t / at_n - 1);
  }
  return lost;
}

}  // namespace

Season season_at_limit(const Season& season) {
  Season out = season;
  out.spec.limit_policy = LimitPolicy::fixed;
  return out;
}

SeasonPatch patch_at_limit(const Season& season, const SeasonPatch& patch, double limit_n_pct) {
  const BandLimits limits = band_limits(season, patch);
  SeasonPatch out = patch;
  out.limit_n_pct = limit_n_pct;
  out.stop_n_pct = limit_n_pct + (limits.stop - limits.limit);
  return out;
}

LadderStep ladder_step(const Season& season, const SeasonPatch& patch, const SupplyScenarios& supply, const Need& need,
                       const SourcingResult& sourcing) {
  LadderStep out;
  const BandLimits limits = band_limits(season, patch);
  out.limit_n_pct = limits.limit;
  out.stop_n_pct = limits.stop;
  out.qualifying_t = all_qualifying(supply);
  PerScenario cost(sourcing.weight.size(), 0);
  const PerScenario unmet = unmet_by_scenario(sourcing);
  for (const auto& figure : sourcing.costs) {
    cost[at(figure.scenario)] += figure.amount;
    if (figure.part == CostPart::claims) out.claims -= sourcing.weight[at(figure.scenario)] * figure.amount;
  }
  double need_t = 0;
  for (const auto& row : need.by_month) need_t += row.reference_t;
  for (std::size_t s = 0; s < cost.size(); ++s) {
    const double need_s = need_t * supply.scenarios[at(sourcing.scenario_of[s])].demand_factor;
    if (unmet[s] <= kCoveredShare * need_s) out.chance_covered += sourcing.weight[s];
  }
  out.litres_lost_lpa = litres_lost(season, sourcing);
  out.expected_cost = weighted_mean(cost, sourcing.weight);
  out.cvar = weighted_cvar(cost, sourcing.weight, season.risk.alpha.value_or(0.9));
  out.unmet_t = weighted_mean(unmet, sourcing.weight);
  return out;
}

}  // namespace rickyard
