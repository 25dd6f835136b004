#pragma once
// Solves a two-stage problem scenario by scenario: the L-shaped method with one cut a scenario, a trust region around the best
// first stage so far, and bounds that are proved. METHODS.md, "How it is solved", states what the answer is.
#include <functional>
#include <memory>
#include <vector>

#include "planner/sourcing/two_stage.h"

namespace rickyard {

struct DecompositionOptions {
  int threads = 0;            // 0: all
  double gap = 1e-10;         // relative, without integers: at most so far from the proved bound
  double integer_gap = 1e-3;  // relative, with integers
  int max_rounds = 1000;
  int max_nodes = 1600;             // of one search for integers; a search that ends there reports the gap it has
  std::function<bool()> stop = {};  // asked once a round: true ends with the best first stage so far
};

struct TwoStageSolution {
  LpStatus status = LpStatus::stopped;  // optimal: within the gap; stopped: the best so far, if one was found
  bool found = false;                   // the figures below are those of a first stage that every scenario can live with
  std::vector<double> x;                // [first-stage column]
  std::vector<double> scenario_cost;    // [scenario], with first_cost and fixed_cost, without first.cost
  double objective = 0, bound = 0;      // without tie costs; bound: proved
  int rounds = 0;
  double gap() const;  // (objective - bound) / max(1, |objective|), at least 0
};

class Decomposition {
 public:
  /// `problem` must outlive this object.
  explicit Decomposition(const TwoStage& problem, const DecompositionOptions& options = {});
  Decomposition(Decomposition&&) noexcept;
  ~Decomposition();

  TwoStageSolution solve();
  /// The cost of a given first stage. status infeasible where a scenario cannot live with it.
  TwoStageSolution evaluate(const std::vector<double>& x);

  // Planes found so far hold for every risk, weight and bound: a changed problem starts from them.
  void set_risk(double lambda, double alpha);
  void set_weights(const std::vector<double>& weight);
  void set_first_bounds(int column, double lower, double upper);
  void set_first_row(int row, double lower, double upper);

 private:
  class Master;
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace rickyard
