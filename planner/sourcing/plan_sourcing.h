#pragma once
// The sourcing programme: covers the need of every month from stock, contracts and backups at least expected cost.
#include <functional>

#include "planner/base/progress.h"
#include "planner/quality/harvest_forecast.h"
#include "planner/sourcing/sourcing.h"

namespace rickyard {

struct SourcingOptions {
  int threads = 0;                  // 0: all
  std::function<bool()> stop = {};  // true: the best plan so far, marked as stopped
};

/// Solves the two-stage programme of METHODS.md, "The linear programme" over all scenarios with in_programme. Contracts stand at their
/// signed amounts. Hard rules that contradict each other give SolveStatus::infeasible with `why`; unmet need is not one of them. `progress`
/// may be null. Throws std::invalid_argument if no scenario is in the programme or there is no demand.
SourcingResult plan_sourcing(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const Need& need,
                             const SupplyScenarios& supply, Progress* progress, const SourcingOptions& options = {});

}  // namespace rickyard
