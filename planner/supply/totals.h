#pragma once
// The total of qualifying grain: what wrongly independent regions would give, and how sure its quantiles are.
#include "planner/season/season.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// Every region draws its own year and draw. regional_t: [scenario][region], region fastest.
Range independent_total(const Season& season, const SupplyScenarios& scenarios, const std::vector<double>& regional_t, int regions);

/// Bootstrap over weather years (drawn with their weights) of P10, P50, P90 of the total.
void add_sampling(const Season& season, const std::vector<double>& total_t, SupplyScenarios& scenarios);

}  // namespace rickyard
