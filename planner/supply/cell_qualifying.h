#pragma once
// Qualifying grain per hectare by weather cell, for maps.
#include <vector>

#include "planner/quality/harvest_forecast.h"
#include "planner/season/land.h"
#include "planner/season/season.h"

namespace rickyard {

/// [land cell] qualifying tonnes per planted hectare of contracted land: mean over the weather years (their weights) of what the
/// units of the cell deliver without residual draws, weighted by the rows' planted hectares on each unit. NaN where no contract row
/// reaches. The same limits as the supply scenarios.
std::vector<double> cell_qualifying(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const Land& land);

}  // namespace rickyard
