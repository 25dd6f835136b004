#pragma once
// The two-stage programme seen whole: as one linear problem, and what its answer must satisfy.
#include <vector>

#include "planner/sourcing/programme.h"

namespace rickyard::test {

/// The programme of a season with scenarios made by hand. `season` and `supply` must outlive nothing: figures are copied.
Programme programme_of(const Season& season, const SupplyScenarios& supply, Contracts contracts = Contracts::as_listed);

/// Expected cost alone as one linear problem: rows are those of `programme.rows`, in order; columns those of `programme.columns` with
/// one more, held at 1, behind the first stage.
LpProblem whole_problem(const Programme& programme);
/// An answer over `programme.columns` as one of whole_problem.
std::vector<double> whole_value(const Programme& programme, const std::vector<double>& value);

/// First stage of the optimum of the extensive form, and its objective with tie costs; checked by check_optimal.
struct WholeAnswer {
  std::vector<double> first_stage;
  double objective = 0;
};
WholeAnswer solve_whole(const TwoStage& problem);

/// solve_in_order, every stage of it checked by check_optimal.
LpSolution solve_checked(const LpProblem& problem, const std::vector<std::vector<double>>& tie_breaks = {});

/// Asserts that x and the row duals y prove each other optimal: x within all bounds, reduced costs and duals zero or pointing at a bound
/// that x stands on (complementary slackness), equal objectives (strong duality).
void check_optimal(const LpProblem& problem, const double* x, const double* y);

/// Tie costs of a first stage, which the reported objective leaves out.
double tie_cost(const TwoStage& problem, const std::vector<double>& first_stage);

/// Objective of a programme's problem without tie costs, by decomposition; asserts that it is optimal.
double objective_of(const TwoStage& problem);

std::vector<double> activities(const LpProblem& problem, const std::vector<double>& value);

}  // namespace rickyard::test
