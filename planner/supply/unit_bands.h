#pragma once
// Shares of one land unit's grain by N band and by first cause of rejection.
#include <array>

#include "planner/quality/harvest_forecast.h"
#include "planner/supply/limits.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// Fractions of all harvested grain; the four rejected shares, and bands 0..2, add to 1.
/// Band 3 (stop to limit_max) is part of rejected_nitrogen until the buyer takes it.
struct UnitBands {
  std::array<double, kBands> share{}, n_pct{};
  double rejected_nitrogen = 0, rejected_screenings = 0, rejected_germination = 0, rejected_other = 0;
};

/// n_pct: mean of all grain of the unit in this scenario; sigma: spread between its farms, > 0.
UnitBands unit_bands(double n_pct, double sigma, const UnitHarvest& unit, const GrainLimits& limits);

}  // namespace rickyard
