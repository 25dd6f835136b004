#include "planner/sourcing/two_stage.h"

#include "planner/base/range.h"

namespace rickyard {
namespace {

using std::size_t;

size_t at(int i) { return static_cast<size_t>(i); }

// Columns of the first stage with what they cost in the mean of scenarios.
void add_first_stage(const TwoStage& problem, ExtensiveForm& out) {
  const auto& first = problem.first;
  for (int j = 0; j < first.columns(); ++j) {
    double cost = (1 + problem.lambda) * first.cost[at(j)] + problem.tie_cost[at(j)];
    for (const auto& s : problem.scenarios)
      if (!s.first_cost.empty()) cost += s.weight * s.first_cost[at(j)];
    out.lp.add_column(first.column_lower[at(j)], first.column_upper[at(j)], cost, first.column_name[at(j)]);
    out.integer.push_back(problem.integer[at(j)]);
  }
  for (int i = 0; i < first.rows(); ++i) out.lp.add_row(first.row_lower[at(i)], first.row_upper[at(i)], first.row_name[at(i)]);
  for (const auto& e : first.entries) out.lp.add(e.row, e.column, e.value);
}

// The fixed costs stand on a column of their own, held at 1.
void add_fixed_cost(const TwoStage& problem, ExtensiveForm& out) {
  double fixed = 0;
  for (const auto& s : problem.scenarios) fixed += s.weight * s.fixed_cost;
  out.lp.add_column(1, 1, fixed, "fixed");
  out.integer.push_back(0);
}

struct TailRows {
  int eta = -1;
  std::vector<int> row;  // [scenario]: excess + eta - cost >= fixed cost
};

TailRows add_tail(const TwoStage& problem, ExtensiveForm& out) {
  TailRows tail;
  if (!(problem.lambda > 0)) return tail;
  tail.eta = out.lp.add_column(-kNoBound, kNoBound, problem.lambda, "eta");
  out.integer.push_back(0);
  for (const auto& s : problem.scenarios) {
    const auto name = std::to_string(tail.row.size());
    const int excess = out.lp.add_column(0, kNoBound, problem.lambda * s.weight / (1 - problem.alpha), "excess." + name);
    out.integer.push_back(0);
    const int row = out.lp.add_row(s.fixed_cost, kNoBound, "tail." + name);
    out.lp.add(row, excess, 1);
    out.lp.add(row, tail.eta, 1);
    for (size_t j = 0; j < s.first_cost.size(); ++j) out.lp.add(row, static_cast<int>(j), -s.first_cost[j]);
    tail.row.push_back(row);
  }
  return tail;
}

}  // namespace

ExtensiveForm extensive_form(const TwoStage& problem) {
  ExtensiveForm out;
  add_first_stage(problem, out);
  add_fixed_cost(problem, out);
  const auto tail = add_tail(problem, out);
  for (size_t k = 0; k < problem.scenarios.size(); ++k) {
    const auto& s = problem.scenarios[k];
    const int column = out.lp.columns(), row = out.lp.rows();
    out.scenario_column.push_back(column);
    for (int j = 0; j < s.lp.columns(); ++j) {
      out.lp.add_column(s.lp.column_lower[at(j)], s.lp.column_upper[at(j)], s.weight * s.lp.cost[at(j)], s.lp.column_name[at(j)]);
      out.integer.push_back(0);
      if (!tail.row.empty()) out.lp.add(tail.row[k], column + j, -s.lp.cost[at(j)]);
    }
    for (int i = 0; i < s.lp.rows(); ++i) out.lp.add_row(s.lp.row_lower[at(i)], s.lp.row_upper[at(i)], s.lp.row_name[at(i)]);
    for (const auto& e : s.lp.entries) out.lp.add(row + e.row, column + e.column, e.value);
    for (const auto& e : s.linking) out.lp.add(row + e.row, e.column, e.value);
  }
  return out;
}

LpProblem at_first_stage(const TwoStageScenario& scenario, const std::vector<double>& x) {
  LpProblem out = scenario.lp;
  for (const auto& e : scenario.linking) {
    out.row_lower[at(e.row)] -= e.value * x[at(e.column)];
    out.row_upper[at(e.row)] -= e.value * x[at(e.column)];
  }
  return out;
}

double risk_adjusted(const std::vector<double>& cost, const std::vector<double>& weight, double lambda, double alpha) {
  double mean = 0;
  for (size_t s = 0; s < cost.size(); ++s) mean += weight[s] * cost[s];
  return lambda > 0 ? mean + lambda * weighted_cvar(cost, weight, alpha) : mean;
}

}  // namespace rickyard
