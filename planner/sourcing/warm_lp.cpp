#include "planner/sourcing/warm_lp.h"

#include <coin/ClpSimplex.hpp>

#include "planner/sourcing/solver_load.h"

namespace rickyard {
namespace {

constexpr double kTolerance = 1e-9;

double coin(double bound) {
  if (!std::isinf(bound)) return bound;
  return bound > 0 ? COIN_DBL_MAX : -COIN_DBL_MAX;
}

LpStatus status_of(const ClpSimplex& model) {
  if (model.status() == 0) return LpStatus::optimal;
  if (model.status() == 1) return LpStatus::infeasible;
  return model.status() == 2 ? LpStatus::unbounded : LpStatus::stopped;
}

}  // namespace

struct WarmLp::Model {
  ClpSimplex clp;
};

WarmLp::WarmLp(const LpProblem& problem) : model_(std::make_unique<Model>()) {
  auto& clp = model_->clp;
  clp.setLogLevel(0);
  const auto a = solver_arrays(problem, COIN_DBL_MAX);
  clp.loadProblem(problem.columns(), problem.rows(), a.start.data(), a.row.data(), a.value.data(), a.column_lower.data(),
                  a.column_upper.data(), problem.cost.data(), a.row_lower.data(), a.row_upper.data());
  clp.setDualTolerance(kTolerance);
  clp.setPrimalTolerance(kTolerance);
}

WarmLp::WarmLp(WarmLp&&) noexcept = default;
WarmLp::~WarmLp() = default;

void WarmLp::set_row_bounds(int row, double lower, double upper) { model_->clp.setRowBounds(row, coin(lower), coin(upper)); }
void WarmLp::set_column_bounds(int column, double lower, double upper) { model_->clp.setColumnBounds(column, coin(lower), coin(upper)); }
void WarmLp::set_cost(int column, double unit_cost) { model_->clp.setObjectiveCoefficient(column, unit_cost); }

void WarmLp::add_row(double lower, double upper, const std::vector<int>& column, const std::vector<double>& value) {
  model_->clp.addRow(static_cast<int>(column.size()), column.data(), value.data(), coin(lower), coin(upper));
}

void WarmLp::remove_rows(const std::vector<int>& rows) {
  if (!rows.empty()) model_->clp.deleteRows(static_cast<int>(rows.size()), rows.data());
}

LpStatus WarmLp::solve(double tolerance) {
  auto& clp = model_->clp;
  clp.setPrimalTolerance(tolerance);
  clp.dual();
  iterations_ += clp.numberIterations();
  // Freed columns can make the dual simplex speak of unbounded where nothing is: the primal simplex has the word.
  if (clp.status() >= 2) {
    clp.allSlackBasis(true);
    clp.primal();
    iterations_ += clp.numberIterations();
  }
  return status_of(clp);
}

void WarmLp::start_from(const WarmLp& other) {
  auto& clp = model_->clp;
  const auto& from = other.model_->clp;
  for (int j = 0; j < clp.numberColumns(); ++j) clp.setColumnStatus(j, from.getColumnStatus(j));
  for (int i = 0; i < clp.numberRows(); ++i) clp.setRowStatus(i, from.getRowStatus(i));
}

double WarmLp::objective() const { return model_->clp.objectiveValue(); }
const double* WarmLp::values() const { return model_->clp.primalColumnSolution(); }
const double* WarmLp::activity() const { return model_->clp.primalRowSolution(); }
const double* WarmLp::duals() const { return model_->clp.dualRowSolution(); }

}  // namespace rickyard
