#include "planner/sourcing/information_value.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "planner/base/blocks.h"
#include "planner/sourcing/decomposition.h"

namespace rickyard {
namespace {

using std::size_t;

void add_scaled(std::vector<double>& sum, const std::vector<double>& other, double weight) {
  if (sum.size() != other.size()) throw std::invalid_argument("scenarios of different shape have no mean problem");
  for (size_t i = 0; i < sum.size(); ++i) sum[i] = std::isinf(other[i]) ? other[i] : sum[i] + weight * other[i];
}

void add_entries(std::vector<LpProblem::Entry>& sum, const std::vector<LpProblem::Entry>& other, double weight) {
  if (sum.size() != other.size()) throw std::invalid_argument("scenarios of different shape have no mean problem");
  for (size_t i = 0; i < sum.size(); ++i) {
    if (sum[i].row != other[i].row || sum[i].column != other[i].column)
      throw std::invalid_argument("scenarios of different shape have no mean problem");
    sum[i].value += weight * other[i].value;
  }
}

}  // namespace

std::optional<double> wait_and_see(const TwoStage& problem, int threads) {
  const size_t n = problem.scenarios.size();
  std::vector<double> cost(n), weight(n);
  std::vector<char> solved(n, 0);
  for_each_block(static_cast<int>(n), threads, [&](int s) {
    const auto i = static_cast<size_t>(s);
    TwoStage one{problem.first, problem.integer, problem.tie_cost, {problem.scenarios[i]}, 0, problem.alpha};
    one.scenarios[0].weight = 1;
    DecompositionOptions options;
    options.threads = 1;
    const auto answer = Decomposition(one, options).solve();
    weight[i] = problem.scenarios[i].weight;
    solved[i] = answer.status == LpStatus::optimal;
    if (answer.found) cost[i] = answer.objective;
  });
  if (!std::all_of(solved.begin(), solved.end(), [](char c) { return c != 0; })) return {};
  return risk_adjusted(cost, weight, problem.lambda, problem.alpha);
}

TwoStage mean_problem(const TwoStage& problem) {
  TwoStage mean{problem.first, problem.integer, problem.tie_cost, {problem.scenarios.at(0)}, problem.lambda, problem.alpha};
  auto& one = mean.scenarios[0];
  one.weight = 1;
  one.fixed_cost = 0;
  for (auto* figures : {&one.lp.cost, &one.lp.row_lower, &one.lp.row_upper, &one.lp.column_lower, &one.lp.column_upper, &one.first_cost})
    std::fill(figures->begin(), figures->end(), 0.0);
  for (auto* entries : {&one.lp.entries, &one.linking})
    for (auto& e : *entries) e.value = 0;
  for (const auto& s : problem.scenarios) {
    add_scaled(one.lp.cost, s.lp.cost, s.weight);
    add_scaled(one.lp.row_lower, s.lp.row_lower, s.weight);
    add_scaled(one.lp.row_upper, s.lp.row_upper, s.weight);
    add_scaled(one.lp.column_lower, s.lp.column_lower, s.weight);
    add_scaled(one.lp.column_upper, s.lp.column_upper, s.weight);
    add_scaled(one.first_cost, s.first_cost, s.weight);
    add_entries(one.lp.entries, s.lp.entries, s.weight);
    add_entries(one.linking, s.linking, s.weight);
    one.fixed_cost += s.weight * s.fixed_cost;
  }
  return mean;
}

}  // namespace rickyard
