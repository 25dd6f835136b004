#include <algorithm>
#include <cmath>

#include "planner/decision/choice.h"
#include "planner/sourcing/contradiction.h"
#include "planner/sourcing/information_value.h"

namespace rickyard {
namespace {

// Hectares and tonnes of a proposal are written with so many decimals.
double rounded(double amount) { return std::round(amount * 1e4) / 1e4; }

void propose(const Choice& choice, const TwoStageSolution& best, Decision& out) {
  const auto& terms = choice.terms();
  out.scale = choice.scale(best.x);
  for (std::size_t c = 0; c < out.scale.size(); ++c) {
    const auto& row = terms.season.contracts[c];
    const auto& span = terms.contract_choice[c];
    out.open.push_back(span.least != span.most);
    out.amount.push_back(out.open.back() ? rounded(out.scale[c] * amount_of(row)) : amount_of(row));
    out.scale[c] = amount_of(row) > 0 ? out.amount[c] / amount_of(row) : 1;
  }
}

}  // namespace

DecisionResult decide(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const Need& need,
                      const SupplyScenarios& supply, const DecisionOptions& options, Progress* progress) {
  constexpr int kSteps = 8;
  int step = 0;
  const auto done = [&] {
    if (progress) progress->step(++step, kSteps);
  };
  const auto terms = programme_terms(season, patch, forecast, need, supply, Contracts::open);
  Choice choice(terms, options);
  const auto best = choice.solver().solve();
  DecisionResult result;
  if (!best.found) {
    result.why = best.status == LpStatus::infeasible ? explain_contradiction(terms, choice.programme(), options.threads)
                                                     : "the search ended before it found a plan";
    return result;
  }
  auto& out = result.decision;
  const auto& problem = choice.programme().problem;
  out.proved = best.status == LpStatus::optimal;
  out.gap = best.gap();
  out.lambda = problem.lambda;
  out.alpha = problem.alpha;
  out.objective = choice.objective(best, problem.lambda);
  out.expected_cost = choice.expected_cost(best);
  out.cvar = choice.cvar(best);
  propose(choice, best, out);
  out.waiting = wait_or_buy(choice, best);
  done();
  const auto stopped = [&] { return options.stop && options.stop(); };
  if (!stopped()) out.insurance = insurance(choice, best);
  done();
  if (!stopped()) out.one_more = one_more(choice, best);
  done();
  if (!stopped()) out.frontier = frontier(choice, options);
  done();
  if (!stopped() && terms.contracts_are_open()) out.stability = stability(choice, options);
  done();
  if (!stopped()) out.value_of_stochastic_solution = cost_of_planning_for_the_mean(choice, best, season, patch, forecast, need);
  done();
  if (!stopped())
    if (const auto known = wait_and_see(problem, options.threads)) out.value_of_perfect_information = std::max(0.0, out.objective - *known);
  done();
  return result;
}

}  // namespace rickyard
