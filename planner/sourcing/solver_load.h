#pragma once
// How our problems enter COIN-OR; included by the files that know a solver and by nobody else.
#include <cmath>
#include <vector>

#include "planner/sourcing/lp_problem.h"

namespace rickyard {

/// Columns, rows and coefficients in the shape the solvers load: compressed by column, infinities as they write them.
struct SolverArrays {
  std::vector<int> start, row;
  std::vector<double> value, column_lower, column_upper, row_lower, row_upper;
};

SolverArrays solver_arrays(const LpProblem& problem, double solver_infinity);

}  // namespace rickyard
