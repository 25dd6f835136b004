#pragma once
// What another acceptance limit brings and costs: one step for each limit, from a plan of its own. METHODS.md, "Decision".
#include <vector>

#include "planner/base/range.h"
#include "planner/season/season.h"
#include "planner/sourcing/sourcing.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// Limits tried, % N of dry matter.
inline constexpr double kLadderLimits[] = {1.65, 1.70, 1.75, 1.80, 1.85};

struct LadderStep {
  double limit_n_pct = 0, stop_n_pct = 0;
  Range qualifying_t;          // over every supply draw
  double claims = 0;           // money taken off for claims, mean
  double litres_lost_lpa = 0;  // what the grain used for spirit would have given more at N 1.50, mean; negative below it
  double expected_cost = 0, cvar = 0;
  double chance_covered = 0;
  double unmet_t = 0;  // mean
};

/// The season's terms at one limit. A limit that may be raised after harvest is held fixed, and the claim width stays as it is.
Season season_at_limit(const Season& season);
SeasonPatch patch_at_limit(const Season& season, const SeasonPatch& patch, double limit_n_pct);

/// From the plan made with patch_at_limit.
LadderStep ladder_step(const Season& season, const SeasonPatch& patch, const SupplyScenarios& supply, const Need& need,
                       const SourcingResult& sourcing);

}  // namespace rickyard
