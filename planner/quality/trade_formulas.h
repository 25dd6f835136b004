#pragma once
// Closed formulas of the trade for yield: the model without rasters, and a check on the daily one.
#include <algorithm>

namespace rickyard {

struct SowingLoss {
  double per_day = 0.004, later_per_day = 0.009;  // fractions a day, first 21 days and after
  double multiplier = 1;                          // 0.4 in a cool wet June, 1.8 in a dry one
};

/// f_sow: 1 until the flat part ends, then down by day; days_late counts from there. 0..1.
inline double sowing_factor(const SowingLoss& loss, double days_late) {
  constexpr double kFirstDays = 21;
  const double first = std::clamp(days_late, 0.0, kFirstDays), later = std::max(days_late - kFirstDays, 0.0);
  return std::clamp(1 - loss.multiplier * (loss.per_day * first + loss.later_per_day * later), 0.0, 1.0);
}

/// f_water: 1 - slope x max(0, deficit - critical), 0..1; slope 0.002 per mm; critical 80 mm light, 110 medium, 130 deep loam.
inline double deficit_factor(double deficit_mm, double critical_mm, double slope_per_mm = 0.002) {
  return std::clamp(1 - slope_per_mm * std::max(deficit_mm - critical_mm, 0.0), 0.0, 1.0);
}

}  // namespace rickyard
