#pragma once
// What knowing the year before deciding would be worth, and what planning for the mean year would cost.
#include <optional>

#include "planner/sourcing/two_stage.h"

namespace rickyard {

/// The objective if every scenario could choose its own first stage: a lower bound of the problem's. Nothing where one scenario
/// cannot be solved. Integers and rows of the first stage hold in each; rows that tie scenarios together hold one by one.
std::optional<double> wait_and_see(const TwoStage& problem, int threads);

/// One scenario with the weighted means of every figure, for problems whose scenarios differ in figures only (same columns, rows
/// and places of coefficients). Throws std::invalid_argument otherwise.
TwoStage mean_problem(const TwoStage& problem);

}  // namespace rickyard
