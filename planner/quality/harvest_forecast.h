#pragma once
// The forecast of what grows, by contract row, land unit and weather year: what crop and quality hand to supply.
#include <cmath>
#include <string>
#include <vector>

#include "planner/base/calendar.h"

namespace rickyard {

/// Grain of one land unit for one contract row and weather year, anchored, before residual draws.
struct UnitHarvest {
  double yield_t_ha = 0;           // on harvested area
  double n_pct = 0;                // mean of all harvested grain of the unit
  double ln_screenings = 0;        // log of the median screenings in percent
  double germination_failure = 0;  // fraction, skinning and sprouting included
  double other_failure = 0;        // fraction
};

/// Constants that tie a contract row to the user's own figures (METHODS.md, "Anchors").
struct Anchor {
  std::string contract;
  double yield_a = 1, n_shift_pct = 0, ln_screenings_shift = 0, other_failure_shift = 0;
  double germination_held_points = 0;                             // points of harvest failure that the row's typical share holds
  double mean_water_loss_share = 0, mean_drainage_winter_mm = 0;  // what the nitrogen of a year is measured against
  double thermal_factor = 1;  // of the row's crop: variety, and stretched to the usual harvest where one is given
};

/// From the attainable yield of a contract row and year to its harvested yield, t/ha, hectare-weighted: attainable less the losses, in this
/// order, is the yield. Attainable: the season's light and warmth for a crop sown on the planned date. Sowing: waiting for workable days,
/// drilling on over them, and sowing wet; below 0 where a later sowing caught more light.
struct YieldLosses {
  double attainable = 0;
  double sowing = 0, water = 0, waterlogging = 0, frost = 0, heat = 0, harvest = 0;
};

/// Harvest weather of a contract row and year, hectare-weighted.
struct HarvestWeather {
  double combine_days = 0;   // in the window after ripeness
  double wet_days = 0;       // between ripeness and harvest
  double late_share = 0;     // of the crop, against the combine days it needs; fraction
  double moisture_pct = -1;  // of the grain at harvest, wet basis; -1 where none was harvested
};

/// Mean dates of a contract row in one year, days after the season's first day (fractional means); -1 where never reached.
struct MeanDates {
  double sown = -1, heading = -1, ripe = -1, harvested = -1;
};

struct ContractForecast {
  int contract = 0;                             // index into Season::contracts
  std::vector<int> units;                       // land unit indices; one entry of -1 with model = formulas
  std::vector<double> share;                    // hectare share of each unit, sums to 1
  int variants = 1;                             // as HarvestForecast::variants
  std::vector<UnitHarvest> harvest;             // [variant][year][k], k fastest
  std::vector<YieldLosses> losses;              // [year], mean over variants; zeros with model = formulas
  std::vector<MeanDates> dates;                 // [year], mean over variants
  std::vector<HarvestWeather> harvest_weather;  // [year], mean over variants; empty with model = formulas
  Anchor anchor;
  double lon_deg = std::nan(""), lat_deg = std::nan("");  // hectare-weighted mean of the region's cell centres; NaN with formulas
  std::size_t years() const { return units.empty() ? 0 : harvest.size() / units.size() / static_cast<std::size_t>(variants); }
  const UnitHarvest& at(int year, int k, int variant = 0) const {
    return harvest[(static_cast<std::size_t>(variant) * years() + static_cast<std::size_t>(year)) * units.size() +
                   static_cast<std::size_t>(k)];
  }
};

struct HarvestForecast {
  int variants = 1;                         // draws of daily rain that share years and weights; 1 with daily rasters and formulas
  std::vector<int> years;                   // harvest years of the archive, ascending; 1..n for formulas
  std::vector<double> weights;              // [year], sum to 1
  std::vector<double> rain_apr_jul_mm;      // [year] contract-hectare-weighted; empty for formulas
  std::vector<double> rain_mm;              // [year] season total, contract-hectare-weighted; empty for formulas
  std::vector<ContractForecast> contracts;  // one per Season::contracts row, same order
  // [backup][variant][year] yield over archive mean of a simulated backup; empty vector where a backup has no region
  std::vector<std::vector<double>> backup_yield_factor;
  bool from_weather = true;  // false: model = formulas, all year-to-year spread is drawn
};

}  // namespace rickyard
