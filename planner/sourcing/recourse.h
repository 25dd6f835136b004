#pragma once
// What one scenario costs at a first stage, and the plane that bounds that cost from below everywhere else.
#include <utility>
#include <vector>

#include "planner/sourcing/two_stage.h"
#include "planner/sourcing/warm_lp.h"

namespace rickyard {

/// A scenario's cost is at least constant + sum slope x (optimality); or 0 >= constant + sum slope x must hold (feasibility).
struct Cut {
  bool feasibility = false;
  double constant = 0;
  std::vector<std::pair<int, double>> slope;  // (first-stage column, per unit), columns ascending

  double at(const std::vector<double>& x) const {
    double sum = constant;
    for (const auto& [column, per_unit] : slope) sum += per_unit * x[static_cast<std::size_t>(column)];
    return sum;
  }
};

class Recourse {
 public:
  explicit Recourse(const TwoStageScenario& scenario);

  struct Answer {
    LpStatus status = LpStatus::stopped;  // optimal; infeasible: the cut is a feasibility cut
    double cost = 0;                      // with first_cost and fixed_cost
    Cut cut;
  };
  Answer solve(const std::vector<double>& x);
  /// Starts the next solve where another scenario of the same shape ended; nothing where the shapes differ.
  void start_from(const Recourse& other);
  long iterations() const { return lp_.iterations(); }

 private:
  void move_rows(WarmLp& lp, const std::vector<double>& x);
  Answer least_breach(const std::vector<double>& x);
  Cut cut_of(const LpProblem& problem, const double* duals, double largest) const;

  const TwoStageScenario& scenario_;
  std::vector<int> linking_rows_;
  WarmLp lp_;
  // Made when first needed: every row may be broken at 1 per unit, all else is free.
  LpProblem breakable_;
  std::vector<WarmLp> breach_;
};

}  // namespace rickyard
