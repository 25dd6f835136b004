// The one file that knows the solver (COIN-OR Clp).
#include <algorithm>
#include <cmath>
#include <coin/ClpSimplex.hpp>
#include <coin/CoinPackedMatrix.hpp>

#include "planner/sourcing/lp_problem.h"

namespace rickyard {
namespace {

// A reduced cost or dual above this keeps its bound on the optimal face: ten times what the solver may leave, and far below
// any difference of costs per tonne.
constexpr double kFaceTolerance = 1e-8;
constexpr double kDualTolerance = 1e-9, kPrimalTolerance = 1e-9;

std::vector<double> coin_bounds(const std::vector<double>& bounds) {
  std::vector<double> out(bounds);
  for (double& b : out)
    if (std::isinf(b)) b = b > 0 ? COIN_DBL_MAX : -COIN_DBL_MAX;
  return out;
}

void load(const LpProblem& problem, ClpSimplex& model) {
  std::vector<int> row, column;
  std::vector<double> value;
  for (const auto& entry : problem.entries) {
    row.push_back(entry.row);
    column.push_back(entry.column);
    value.push_back(entry.value);
  }
  CoinPackedMatrix matrix(true, row.data(), column.data(), value.data(), static_cast<CoinBigIndex>(value.size()));
  matrix.setDimensions(problem.rows(), problem.columns());
  const auto column_lower = coin_bounds(problem.column_lower), column_upper = coin_bounds(problem.column_upper);
  const auto row_lower = coin_bounds(problem.row_lower), row_upper = coin_bounds(problem.row_upper);
  model.loadProblem(matrix, column_lower.data(), column_upper.data(), problem.cost.data(), row_lower.data(), row_upper.data());
}

LpStatus status_of(const ClpSimplex& model) {
  switch (model.status()) {
    case 0:
      return LpStatus::optimal;
    case 1:
      return LpStatus::infeasible;
    case 2:
      return LpStatus::unbounded;
    default:
      return LpStatus::stopped;
  }
}

double nearest(double value, double lower, double upper) { return std::abs(value - lower) <= std::abs(value - upper) ? lower : upper; }

// Narrows the problem to the optimal face of the solve just ended.
void keep_face(ClpSimplex& model) {
  const double *reduced = model.dualColumnSolution(), *dual = model.dualRowSolution();
  const double *x = model.primalColumnSolution(), *activity = model.primalRowSolution();
  for (int j = 0; j < model.numberColumns(); ++j)
    if (std::abs(reduced[j]) > kFaceTolerance && model.getColumnStatus(j) != ClpSimplex::basic) {
      const double at = nearest(x[j], model.columnLower()[j], model.columnUpper()[j]);
      model.setColumnBounds(j, at, at);
    }
  for (int i = 0; i < model.numberRows(); ++i)
    if (std::abs(dual[i]) > kFaceTolerance && model.getRowStatus(i) != ClpSimplex::basic) {
      const double at = nearest(activity[i], model.rowLower()[i], model.rowUpper()[i]);
      model.setRowBounds(i, at, at);
    }
}

void set_cost(ClpSimplex& model, const std::vector<double>& cost) {
  for (int j = 0; j < model.numberColumns(); ++j) model.setObjectiveCoefficient(j, cost[static_cast<std::size_t>(j)]);
}

// Rounding alone can leave nothing: a first stage that a scenario just bears, a face that holds the earlier answer to its tolerance only.
// Then a little more is allowed.
int solve_stage(ClpSimplex& model, bool first) {
  int iterations = 0;
  for (double tolerance : {kPrimalTolerance, 10 * kPrimalTolerance, 100 * kPrimalTolerance}) {
    model.setPrimalTolerance(tolerance);
    if (first) {
      model.dual();
    } else {
      model.primal();
    }
    iterations += model.numberIterations();
    if (status_of(model) != LpStatus::infeasible) break;
  }
  model.setPrimalTolerance(kPrimalTolerance);
  return iterations;
}

LpProblem snapshot(const LpProblem& problem, const ClpSimplex& model) {
  LpProblem out = problem;
  const auto own = [](double b) { return b >= COIN_DBL_MAX ? kNoBound : b <= -COIN_DBL_MAX ? -kNoBound : b; };
  for (int j = 0; j < problem.columns(); ++j) {
    const auto at = static_cast<std::size_t>(j);
    out.column_lower[at] = own(model.columnLower()[j]);
    out.column_upper[at] = own(model.columnUpper()[j]);
    out.cost[at] = model.objective()[j];
  }
  for (int i = 0; i < problem.rows(); ++i) {
    const auto at = static_cast<std::size_t>(i);
    out.row_lower[at] = own(model.rowLower()[i]);
    out.row_upper[at] = own(model.rowUpper()[i]);
  }
  return out;
}

}  // namespace

LpSolution solve_in_order(const LpProblem& problem, const std::vector<std::vector<double>>& tie_breaks, const LpLimits& limits,
                          std::vector<SolvedStage>* trace) {
  ClpSimplex model;
  model.setLogLevel(0);
  load(problem, model);
  model.setDualTolerance(kDualTolerance);
  model.setPrimalTolerance(kPrimalTolerance);
  LpSolution solution;
  for (std::size_t stage = 0; stage <= tie_breaks.size(); ++stage) {
    if (stage > 0) {
      keep_face(model);
      set_cost(model, tie_breaks[stage - 1]);
    }
    if (trace) trace->push_back({snapshot(problem, model), {}, {}});
    model.setMaximumIterations(std::max(limits.max_iterations - static_cast<int>(solution.iterations), 1));
    solution.iterations += solve_stage(model, stage == 0);
    solution.status = status_of(model);
    if (solution.status != LpStatus::optimal) return solution;
    solution.stage_objective.push_back(model.objectiveValue());
    if (!trace) continue;
    trace->back().value.assign(model.primalColumnSolution(), model.primalColumnSolution() + model.numberColumns());
    trace->back().dual.assign(model.dualRowSolution(), model.dualRowSolution() + model.numberRows());
  }
  solution.value.assign(model.primalColumnSolution(), model.primalColumnSolution() + model.numberColumns());
  return solution;
}

}  // namespace rickyard
