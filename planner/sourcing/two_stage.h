#pragma once
// A two-stage problem in our own words: what is decided before the year is known, and what each scenario does with it.
// programme.md lists the sourcing programme's own sets, columns and rows; here is only the frame.
#include <string>
#include <vector>

#include "planner/sourcing/lp_problem.h"

namespace rickyard {

/// One scenario: a linear problem over its own columns, its rows also holding first-stage columns ("linking").
/// Its cost is fixed_cost + sum first_cost x + the least cost of its own columns given x.
struct TwoStageScenario {
  double weight = 0;
  LpProblem lp;                           // own columns; row bounds hold for row = own part + linking part
  std::vector<LpProblem::Entry> linking;  // row of lp, first-stage column, coefficient
  std::vector<double> first_cost;         // [first-stage column], unweighted; empty: none
  double fixed_cost = 0;
  double largest = 1e9;  // no own column exceeds it in an optimum; makes the proof of a bound safe against rounding
};

/// min first.cost x + E[cost_s] + lambda (first.cost x + CVaR_alpha(cost_s)) over first-stage columns x.
/// Every first-stage column must have finite bounds.
struct TwoStage {
  LpProblem first;
  std::vector<char> integer;     // [first-stage column]
  std::vector<double> tie_cost;  // [first-stage column]: added to the objective to choose among equals, reported nowhere
  std::vector<TwoStageScenario> scenarios;
  double lambda = 0, alpha = 0.9;
  /// [first-stage column] the one scenario in whose rows alone it stands; -1: shared. Empty: all shared.
  std::vector<int> owner = {};
};

/// The same problem as one linear programme. Columns: first stage, then (lambda > 0) eta and one excess a scenario, then the
/// scenarios' own; rows: first stage, (lambda > 0) one excess row a scenario, then the scenarios' own.
struct ExtensiveForm {
  LpProblem lp;
  std::vector<char> integer;
  std::vector<int> scenario_column;  // [scenario] index of its first own column
};
ExtensiveForm extensive_form(const TwoStage& problem);

/// sum w z + lambda x CVaR_alpha(z) (base/range.h: weighted_cvar).
double risk_adjusted(const std::vector<double>& cost, const std::vector<double>& weight, double lambda, double alpha);

/// Cost of a scenario's own problem solved at x, without first_cost and fixed_cost; the problem whose row bounds x has moved.
LpProblem at_first_stage(const TwoStageScenario& scenario, const std::vector<double>& x);

}  // namespace rickyard
