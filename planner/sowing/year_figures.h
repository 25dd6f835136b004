#pragma once
// One way of sowing, weather year by weather year.
#include <vector>

#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"
#include "planner/sowing/sowing_advice.h"

namespace rickyard {

/// The season with one contract row alone, on one planted and harvested hectare: what a region's curves are worked out on.
Season one_hectare(const Season& season, std::size_t contract);

/// All [year]; N and screenings NaN where nothing grew.
struct YearFigures {
  std::vector<double> yield_t_ha, n_pct, screenings_pct, n_share, qualifying_share, qualifying_t_ha;
  std::vector<double> rejected_nitrogen_t_ha, rejected_screenings_t_ha, rejected_germination_t_ha, rejected_other_t_ha;
};

/// One contract row in one scenario (supply, contract_grain.h) without residual draws, for every year of a forecast of one row made for
/// `one` (one_hectare). yield_factor multiplies the yield, n_shift_pct is added to N.
YearFigures year_figures(const Season& one, const HarvestForecast& forecast, double yield_factor = 1, double n_shift_pct = 0);

/// Puts the ranges of the figures into a result.
void set_ranges(const YearFigures& figures, const std::vector<double>& weights, SowingResult& result);

/// Difference of means, later less earlier.
SowingChange change(const SowingResult& from, const SowingResult& to);

}  // namespace rickyard
