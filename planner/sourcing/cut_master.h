#pragma once
// The master problem of the decomposition: first stage, one cost estimate a scenario, and the planes found so far. Used by
// decomposition.cpp only.
#include <optional>
#include <vector>

#include "planner/sourcing/recourse.h"
#include "planner/sourcing/two_stage.h"
#include "planner/sourcing/warm_lp.h"

namespace rickyard {

class CutMaster {
 public:
  /// Holds its own copy of the first stage, weights and risk of `problem`.
  explicit CutMaster(const TwoStage& problem);

  struct Answer {
    LpStatus status = LpStatus::stopped;
    std::vector<double> x;         // [first-stage column]
    std::vector<double> estimate;  // [scenario]
    double objective = 0;          // a lower bound of the whole problem within the bounds given
  };
  /// Least estimated cost with x between `lower` and `upper`.
  Answer solve(const std::vector<double>& lower, const std::vector<double>& upper);
  /// The same with shared integers whole; those that one scenario owns too if `own_too`, else they may be fractions still.
  struct IntegerAnswer {
    Answer answer;
    double bound = 0;
  };
  IntegerAnswer solve_integer(double gap, int max_nodes, bool own_too);

  const std::vector<int>& own_integers(int scenario) const { return own_[static_cast<std::size_t>(scenario)]; }
  /// Whole numbers for own_integers(scenario): the cheapest by its planes, all else as in `x`. Empty where its planes allow none.
  std::vector<double> choose_own(int scenario, const std::vector<double>& x) const;

  /// What the planes say each scenario costs at least at x; minus infinity without one.
  std::vector<double> estimates(const std::vector<double>& x) const;

  void add(int scenario, const Cut& cut);
  /// Forgets planes that have not touched the answer for some rounds, where there are many.
  void forget_idle();
  bool has_plane(int scenario) const { return has_plane_[static_cast<std::size_t>(scenario)] != 0; }
  /// Every scenario has at least one plane under its cost: objective is a true lower bound.
  bool complete() const { return without_plane_ == 0; }

  void set_risk(double lambda, double alpha);
  void set_weights(const std::vector<double>& weight);
  void set_first_bounds(int column, double lower, double upper);
  void set_first_row(int row, double lower, double upper);

  const LpProblem& first() const { return first_; }
  const std::vector<double>& weight() const { return weight_; }
  double lambda() const { return lambda_; }
  double alpha() const { return alpha_; }
  double own_cost(const std::vector<double>& x) const;  // first-stage cost as the objective counts it, with tie costs
  double tie_cost(const std::vector<double>& x) const;
  const std::vector<char>& integer() const { return integer_; }
  bool has_integers() const;
  int owned_integers() const;  // by all scenarios

 private:
  struct Plane {
    int scenario = 0;
    Cut cut;
    int idle = 0;
  };
  LpProblem problem() const;
  void load();
  int estimate_column(int scenario) const { return first_.columns() + 1 + scenario; }
  int excess_column(int scenario) const { return estimate_column(static_cast<int>(weight_.size()) + scenario); }
  void plane_row(const Plane& plane, std::vector<int>& column, std::vector<double>& value, double& lower, double& upper) const;
  Answer answer_of(const double* values, double objective) const;

  LpProblem first_;
  std::vector<char> integer_;
  std::vector<std::vector<int>> own_;  // [scenario] integer columns it owns
  std::vector<double> tie_, weight_;
  double lambda_, alpha_;
  std::vector<Plane> planes_;
  std::vector<char> has_plane_;  // [scenario]
  int without_plane_ = 0;
  std::optional<WarmLp> lp_;  // loaded problem(); empty after a change that reloads
};

}  // namespace rickyard
