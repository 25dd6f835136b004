#pragma once
// A linear problem that stays loaded in the solver while its bounds, costs and rows change: each solve starts from the last basis.
#include <memory>
#include <vector>

#include "planner/sourcing/lp_problem.h"

namespace rickyard {

class WarmLp {
 public:
  explicit WarmLp(const LpProblem& problem);
  WarmLp(WarmLp&&) noexcept;
  ~WarmLp();

  void set_row_bounds(int row, double lower, double upper);
  void set_column_bounds(int column, double lower, double upper);
  void set_cost(int column, double unit_cost);
  /// Appends a row; `value` are its coefficients in `column`.
  void add_row(double lower, double upper, const std::vector<int>& column, const std::vector<double>& value);
  /// Rows to remove, ascending; later rows move up.
  void remove_rows(const std::vector<int>& rows);

  /// Dual simplex from the basis of the last solve; primal simplex from slacks where that ends without a verdict or speaks of unbounded.
  /// Rows and bounds hold to `tolerance`.
  LpStatus solve(double tolerance = 1e-9);
  /// Starts the next solve where `other`, a problem of the same shape, ended.
  void start_from(const WarmLp& other);

  double objective() const;
  /// Valid after an optimal solve: [column], [row]. Duals are the change of the objective per unit of the active bound.
  const double* values() const;
  const double* activity() const;
  const double* duals() const;
  long iterations() const { return iterations_; }

 private:
  struct Model;
  std::unique_ptr<Model> model_;
  long iterations_ = 0;
};

struct IntegerSolution {
  LpStatus status = LpStatus::stopped;
  std::vector<double> value;  // [column], integers exact
  double objective = 0, bound = 0;
};

/// Minimises over integer values of the marked columns by branch and cut, to `relative_gap`; one thread, so deterministic.
IntegerSolution solve_integer(const LpProblem& problem, const std::vector<char>& integer, double relative_gap, int max_nodes);

}  // namespace rickyard
