#include "planner/sourcing/plan_sourcing.h"

#include <stdexcept>

#include "planner/sourcing/accounts.h"
#include "planner/sourcing/contradiction.h"
#include "planner/sourcing/decomposition.h"
#include "planner/sourcing/programme.h"

namespace rickyard {

SourcingResult plan_sourcing(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const Need& need,
                             const SupplyScenarios& supply, Progress* progress, const SourcingOptions& options) {
  if (season.demand.empty()) throw std::invalid_argument("a sourcing plan needs demand");
  const auto terms = programme_terms(season, patch, forecast, need, supply);
  if (terms.scenario_of.empty()) throw std::invalid_argument("a sourcing plan needs at least one scenario");
  const auto programme = build_programme(terms);
  if (progress) progress->step(1, 3);
  DecompositionOptions solving;
  solving.threads = options.threads;
  solving.stop = options.stop;
  const auto solution = Decomposition(programme.problem, solving).solve();
  if (progress) progress->step(2, 3);
  const auto value = !solution.found ? std::vector<double>{} : complete_answer(programme, solution.x, options.threads);
  if (!value.empty()) {
    auto result = make_result(terms, programme, value);
    result.gap = solution.gap();
    if (solution.status != LpStatus::optimal) result.status = SolveStatus::stopped;
    if (progress) progress->step(3, 3);
    return result;
  }
  auto result = result_frame(terms);
  result.status = solution.status == LpStatus::infeasible ? SolveStatus::infeasible : SolveStatus::stopped;
  result.why = solution.status == LpStatus::infeasible  ? explain_contradiction(terms, programme, options.threads)
               : solution.status == LpStatus::unbounded ? "the plan earns without end: an outlet pays more than grain without a cap costs"
                                                        : "the solver reached its limit before it found a plan";
  return result;
}

}  // namespace rickyard
