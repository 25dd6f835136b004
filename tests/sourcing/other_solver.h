#pragma once
// A second opinion on linear problems: glpsol (glpk-utils) in its own process, by way of a free MPS file.
#include <string>
#include <vector>

#include "planner/sourcing/lp_problem.h"

namespace rickyard::test {

struct OtherSolution {
  bool optimal = false;
  double objective = 0;
  std::vector<double> value;  // [column]
};

/// Writes `folder`/`name`.mps, runs glpsol on it and reads what it says; columns marked in `integer` (empty: none) take whole values.
/// Throws std::runtime_error if glpsol does not run.
OtherSolution solve_elsewhere(const LpProblem& problem, const std::string& folder, const std::string& name,
                              const std::vector<char>& integer = {});

}  // namespace rickyard::test
