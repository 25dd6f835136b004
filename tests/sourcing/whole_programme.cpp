#include "tests/sourcing/whole_programme.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "planner/sourcing/decomposition.h"

namespace rickyard::test {
namespace {

using std::size_t;

// Price of a bound: 0 for a multiplier that is rounding and points at no bound.
double bound_cost(double multiplier, double lower, double upper, double tolerance) {
  if (multiplier == 0) return 0;
  const double bound = multiplier > 0 ? lower : upper;
  if (!std::isinf(bound)) return multiplier * bound;
  CHECK(std::abs(multiplier) <= tolerance);  // dual feasible
  return 0;
}

// How far the value is from the bound that its multiplier prices, in money.
double slack_product(double multiplier, double value, double lower, double upper) {
  const double bound = multiplier > 0 ? lower : upper;
  return multiplier == 0 || std::isinf(bound) ? 0 : std::abs(multiplier * (value - bound));
}

double magnitude(const std::vector<double>& a) {
  double most = 1;
  for (double v : a) most = std::max(most, std::abs(v));
  return most;
}

}  // namespace

Programme programme_of(const Season& season, const SupplyScenarios& supply, Contracts contracts) {
  HarvestForecast forecast;
  forecast.years = supply.years;
  forecast.weights = supply.year_weights;
  return build_programme(programme_terms(season, {}, forecast, compute_need(season, {}), supply, contracts));
}

LpProblem whole_problem(const Programme& programme) {
  TwoStage plain = programme.problem;
  plain.lambda = 0;
  std::fill(plain.tie_cost.begin(), plain.tie_cost.end(), 0.0);
  return extensive_form(plain).lp;
}

std::vector<double> whole_value(const Programme& programme, const std::vector<double>& value) {
  std::vector<double> out(value);
  out.insert(out.begin() + programme.first_columns(), 1.0);
  return out;
}

WholeAnswer solve_whole(const TwoStage& problem) {
  const auto solution = solve_checked(extensive_form(problem).lp);
  return {{solution.value.begin(), solution.value.begin() + problem.first.columns()}, solution.stage_objective[0]};
}

LpSolution solve_checked(const LpProblem& problem, const std::vector<std::vector<double>>& tie_breaks) {
  std::vector<SolvedStage> stages;
  auto solution = solve_in_order(problem, tie_breaks, {}, &stages);
  REQUIRE(solution.status == LpStatus::optimal);
  for (const auto& stage : stages) check_optimal(stage.problem, stage.value.data(), stage.dual.data());
  return solution;
}

void check_optimal(const LpProblem& problem, const double* x, const double* y) {
  const std::vector<double> value(x, x + problem.columns());
  const auto activity = activities(problem, value);
  std::vector<double> reduced = problem.cost;
  for (const auto& e : problem.entries) reduced[static_cast<size_t>(e.column)] -= y[e.row] * e.value;
  const double money = magnitude(problem.cost), dual_tolerance = 1e-7 * money;
  double primal = 0, dual = 0, products = 0, size = 1, outside = 0;
  for (size_t j = 0; j < value.size(); ++j) {
    const double lower = problem.column_lower[j], upper = problem.column_upper[j];
    outside = std::max({outside, lower - value[j], value[j] - upper});
    primal += problem.cost[j] * value[j];
    size += std::abs(problem.cost[j] * value[j]);
    dual += bound_cost(reduced[j], lower, upper, dual_tolerance);
    products = std::max(products, slack_product(reduced[j], value[j], lower, upper));
  }
  for (size_t i = 0; i < activity.size(); ++i) {
    const double lower = problem.row_lower[i], upper = problem.row_upper[i];
    outside = std::max({outside, lower - activity[i], activity[i] - upper});
    dual += bound_cost(y[i], lower, upper, dual_tolerance);
    products = std::max(products, slack_product(y[i], activity[i], lower, upper));
  }
  CHECK(outside <= 1e-6);
  CHECK(std::abs(primal - dual) <= 1e-8 * size);
  CHECK(products <= 1e-8 * size);
}

double tie_cost(const TwoStage& problem, const std::vector<double>& first_stage) {
  double sum = 0;
  for (size_t j = 0; j < first_stage.size(); ++j) sum += problem.tie_cost[j] * first_stage[j];
  return sum;
}

double objective_of(const TwoStage& problem) {
  const auto answer = Decomposition(problem).solve();
  REQUIRE(answer.status == LpStatus::optimal);
  return answer.objective;
}

std::vector<double> activities(const LpProblem& problem, const std::vector<double>& value) {
  std::vector<double> out(static_cast<size_t>(problem.rows()), 0);
  for (const auto& e : problem.entries) out[static_cast<size_t>(e.row)] += e.value * value[static_cast<size_t>(e.column)];
  return out;
}

}  // namespace rickyard::test
