#pragma once
// What a case, and a season partly known, are measured against: past seasons as they were.
#include "planner/base/progress.h"
#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"
#include "planner/supply/residual.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// `reference` of make_scenarios for the season without a patch, the same bits, without the scenarios. forecast: of past seasons alone.
/// std::invalid_argument, threads and progress as make_scenarios.
SupplyReference supply_reference(const Season& season, const HarvestForecast& forecast, int threads, Progress* progress);

/// The residual law's part of a reference.
SupplyReference reference_of(const ResidualModel& residual);

}  // namespace rickyard
