#include "planner/sourcing/solver_load.h"

namespace rickyard {
namespace {

std::vector<double> bounded(std::vector<double> bounds, double infinity) {
  for (double& b : bounds)
    if (std::isinf(b)) b = b > 0 ? infinity : -infinity;
  return bounds;
}

}  // namespace

SolverArrays solver_arrays(const LpProblem& problem, double solver_infinity) {
  SolverArrays out;
  const auto columns = static_cast<std::size_t>(problem.columns());
  out.start.assign(columns + 1, 0);
  for (const auto& e : problem.entries) ++out.start[static_cast<std::size_t>(e.column) + 1];
  for (std::size_t j = 0; j < columns; ++j) out.start[j + 1] += out.start[j];
  out.row.resize(problem.entries.size());
  out.value.resize(problem.entries.size());
  std::vector<int> next(out.start.begin(), out.start.end() - 1);
  for (const auto& e : problem.entries) {
    const auto k = static_cast<std::size_t>(next[static_cast<std::size_t>(e.column)]++);
    out.row[k] = e.row;
    out.value[k] = e.value;
  }
  out.column_lower = bounded(problem.column_lower, solver_infinity);
  out.column_upper = bounded(problem.column_upper, solver_infinity);
  out.row_lower = bounded(problem.row_lower, solver_infinity);
  out.row_upper = bounded(problem.row_upper, solver_infinity);
  return out;
}

}  // namespace rickyard
