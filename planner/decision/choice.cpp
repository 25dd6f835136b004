#include "planner/decision/choice.h"

#include <algorithm>
#include <cmath>

#include "planner/base/range.h"
#include "planner/sourcing/delivery.h"
#include "planner/supply/contract_grain.h"

namespace rickyard {
namespace {

using std::size_t;

DecompositionOptions solving(const DecisionOptions& options) {
  DecompositionOptions out;
  out.threads = options.threads;
  out.stop = options.stop;
  return out;
}

}  // namespace

double amount_of(const ContractRow& row) { return row.form == ContractForm::tonnage ? row.contracted_t.value_or(0) : planted_ha_of(row); }

Choice::Choice(const ProgrammeTerms& terms, const DecisionOptions& options)
    : terms_(terms), options_(options), programme_(build_programme(terms)), solver_(programme_.problem, solving(options)) {}

double Choice::first_cost(const std::vector<double>& x) const {
  double sum = 0;
  for (size_t j = 0; j < x.size(); ++j) sum += programme_.problem.first.cost[j] * x[j];
  return sum;
}

double Choice::expected_cost(const TwoStageSolution& solution) const { return objective(solution, 0); }

double Choice::cvar(const TwoStageSolution& solution) const {
  return first_cost(solution.x) + weighted_cvar(solution.scenario_cost, terms_.weight, programme_.problem.alpha);
}

double Choice::objective(const TwoStageSolution& solution, double lambda) const {
  return (1 + lambda) * first_cost(solution.x) + risk_adjusted(solution.scenario_cost, terms_.weight, lambda, programme_.problem.alpha);
}

std::vector<double> Choice::scale(const std::vector<double>& x) const {
  return {x.begin(), x.begin() + static_cast<std::ptrdiff_t>(terms_.season.contracts.size())};
}

std::vector<double> Choice::ordered(const std::vector<double>& x) const {
  std::vector<double> out(terms_.backups.size(), 0);
  for (int j = 0; j < programme_.first_columns(); ++j) {
    const auto& c = programme_.columns[static_cast<size_t>(j)];
    if (c.kind == ColumnKind::order) out[static_cast<size_t>(c.heap)] += to_micro(std::max(0.0, x[static_cast<size_t>(j)]));
  }
  return out;
}

std::vector<double> Choice::unmet(const std::vector<double>& x) const {
  const auto value = complete_answer(programme_, x, options_.threads);
  if (value.empty()) return {};
  std::vector<double> out(terms_.weight.size(), 0);
  for (size_t j = static_cast<size_t>(programme_.first_columns()); j < value.size(); ++j) {
    const auto& c = programme_.columns[j];
    if (c.kind == ColumnKind::unmet && value[j] > 2e-5) out[static_cast<size_t>(c.scenario)] += value[j];
  }
  return out;
}

double Choice::need(int scenario) const {
  const double demand = terms_.supply.scenarios[static_cast<size_t>(terms_.scenario_of[static_cast<size_t>(scenario)])].demand_factor;
  double sum = 0;
  for (const auto& line : terms_.need_t)
    for (double t : line) sum += t * demand;
  return sum;
}

TwoStageSolution Choice::solve_holding(const std::vector<std::pair<int, double>>& held) {
  const auto& first = programme_.problem.first;
  for (const auto& [column, value] : held) solver_.set_first_bounds(column, value, value);
  auto solution = solver_.solve();
  for (const auto& [column, value] : held)
    solver_.set_first_bounds(column, first.column_lower[static_cast<size_t>(column)], first.column_upper[static_cast<size_t>(column)]);
  return solution;
}

}  // namespace rickyard
