#pragma once
// Supply scenarios: every weather year times residual draws, contracts and backups failing together.
#include "planner/base/progress.h"
#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"
#include "planner/supply/residual.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// Scenarios of a season under a patch. Every contract row needs a forecast in the same order (std::invalid_argument otherwise).
/// The same input gives the same bits on any number of threads (0 = all cores). `progress` may be null.
/// patch.regions_lost and patch.backups_lost deliver nothing; patch.yield_factor, n_shift_pct and other_failure_pct
/// are already in the forecast; patch.demand_factor is in the need.
/// With `reference`, residual law and the means behind shortages and prices are those of another run (the base plan),
/// so that a case differs from it by nothing but the case.
SupplyScenarios make_scenarios(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, int threads,
                               Progress* progress, const SupplyReference* reference = nullptr);

}  // namespace rickyard
