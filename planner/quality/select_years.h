#pragma once
// Keeps only some weather years of a forecast; their weights are scaled to sum to one.
#include <vector>

#include "planner/quality/harvest_forecast.h"

namespace rickyard {

/// years: harvest years to keep, any order; unknown years are ignored, and std::invalid_argument is thrown when none is left.
HarvestForecast select_years(const HarvestForecast& forecast, const std::vector<int>& years);

}  // namespace rickyard
