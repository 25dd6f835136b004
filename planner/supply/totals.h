#pragma once
// The total of qualifying grain: what wrongly independent regions would give, and how sure its quantiles are.
#include "planner/season/season.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// The total if every region drew its own year and draw, and what it is not below in 19 of 20 draws.
struct IndependentTotal {
  Range range;
  double p5 = 0;
};
/// regional_t: [scenario][region], region fastest.
IndependentTotal independent_total(const Season& season, const SupplyScenarios& scenarios, const std::vector<double>& regional_t,
                                   int regions);

/// Bootstrap over weather years of P10, P50, P90 of the total: as many years as their weights are worth (effective number, rounded),
/// drawn with their weights. No range (NaN) from fewer than two.
void add_sampling(const Season& season, const std::vector<double>& total_t, SupplyScenarios& scenarios);

}  // namespace rickyard
