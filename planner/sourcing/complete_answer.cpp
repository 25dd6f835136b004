// The second stage of a given first stage, each scenario by itself, with ties broken in order.
#include <cmath>

#include "planner/base/blocks.h"
#include "planner/sourcing/programme.h"

namespace rickyard {

std::vector<double> complete_answer(const Programme& programme, const std::vector<double>& first_stage, int threads) {
  const auto scenarios = programme.problem.scenarios.size();
  std::vector<double> value(programme.columns.size(), 0);
  std::copy(first_stage.begin(), first_stage.end(), value.begin());
  std::vector<char> solved(scenarios, 0);
  for_each_block(static_cast<int>(scenarios), threads, [&](int s) {
    const auto at = static_cast<std::size_t>(s);
    const auto from = programme.column_start[at], to = programme.column_start[at + 1], skip = programme.first_columns();
    std::vector<std::vector<double>> ties;
    for (const auto& stage : programme.tie_breaks) ties.emplace_back(stage.begin() + (from - skip), stage.begin() + (to - skip));
    const auto answer = solve_in_order(at_first_stage(programme.problem.scenarios[at], first_stage), ties);
    solved[at] = answer.status == LpStatus::optimal;
    if (solved[at]) std::copy(answer.value.begin(), answer.value.end(), value.begin() + from);
  });
  for (char one : solved)
    if (!one) return {};
  return value;
}

}  // namespace rickyard
