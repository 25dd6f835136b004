#pragma once
// Seconds a stage of a session took.
#include <chrono>
#include <string>
#include <utility>
#include <vector>

#include "planner/app/session.h"

namespace rickyard {

/// For the manifest only, never for the plan.
class Session::Watch {
 public:
  explicit Watch(std::vector<StageTime>& times) : times_(times) {}
  template <typename Work>
  auto time(const std::string& stage, Work&& work) {
    const auto start = std::chrono::steady_clock::now();
    auto result = work();
    times_.push_back({stage, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count()});
    return result;
  }

 private:
  std::vector<StageTime>& times_;
};

inline void stop_if_asked(const std::stop_token& stop) {
  if (stop.stop_requested()) throw Interrupted();
}

/// Throws where a solved programme has no plan to show: ContradictionError, or Interrupted where it was stopped too early.
inline void refuse_without_plan(const SourcingResult& solved) {
  if (solved.status == SolveStatus::infeasible) throw ContradictionError(solved.why);
  if (solved.status == SolveStatus::stopped && !solved.why.empty()) throw Interrupted("stopped: " + solved.why);
}

}  // namespace rickyard
