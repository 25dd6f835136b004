#pragma once
// What the plan asks of this season's own crop, and how many hectares would give it in p of years. METHODS.md, "Decision".
#include <optional>

#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"
#include "planner/sourcing/sourcing.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// Tonnes that the crop and what is bought must bring: need + closing stock - opening stock. Need in reference tonnes.
struct AskedOfCrop {
  double need_t = 0, closing_t = 0, stock_t = 0;
  /// At a demand factor; not below 0.
  double asked_t(double demand_factor = 1) const;
};
AskedOfCrop asked_of_crop(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const Need& need,
                          const SupplyScenarios& supply);

/// Rows that may still be signed, scaled alike from the contracts table, until own grain covers what is asked in `chance` of scenarios.
struct HectaresNeeded {
  double chance = 0;
  double asked_t = 0;                            // at demand factor 1
  double qualifying_t = 0;                       // reached in `chance` of scenarios, at the table's amounts
  double hectares = 0;                           // planted, of every row, at the table's amounts
  std::optional<double> scale, hectares_needed;  // empty: out of reach of the rows that may still be signed
  double median_surplus_t = 0;                   // of own grain over what is asked, at hectares_needed
  double surplus_cost_per_t = 0;                 // contract price and haul, less what feed pays
  double median_surplus_cost = 0;
};
/// `season` and `supply` at the table's amounts, every supply draw. Empty where no row may still be signed. chance in (0, 1).
std::optional<HectaresNeeded> hectares_needed(const Season& season, const SupplyScenarios& supply, const AskedOfCrop& asked, double chance);

/// Years in which own grain should cover the need where the season names no p: 8 in 10.
inline constexpr double kUsualChance = 0.8;

}  // namespace rickyard
