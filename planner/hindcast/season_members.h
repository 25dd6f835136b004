#pragma once
// A forecast as members: tonnes and N of every region for each weather year and residual draw.
#include <optional>
#include <vector>

#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"
#include "planner/supply/residual.h"

namespace rickyard {

/// What differed in a region in the season that is forecast.
struct RegionTerms {
  double area_factor = 1;             // its hectares, at the level of the contract rows' varieties, over those of the contracts table
  double n_offset_pct = 0;            // N of its varieties over theirs
  std::optional<double> limit_n_pct;  // in force then: nothing above it was accepted; empty: the season's own limits
};

struct RegionMembers {
  std::vector<double> offered_t, qualifying_t, n_pct;  // [member]; n_pct of all grain, NaN where nothing grew
};
struct SeasonMembers {
  std::vector<double> weights;         // [member], sum 1; member = year x draws + draw
  std::vector<RegionMembers> regions;  // in the order of contracted_regions
};

/// Draws `draws` a weather year, numbered and keyed as in planner/supply. terms: [region].
SeasonMembers season_members(const Season& season, const HarvestForecast& forecast, const ResidualModel& law,
                             const std::vector<RegionTerms>& terms, int draws);

}  // namespace rickyard
