#pragma once
// Days fit for drilling and for combining.
#include <algorithm>
#include <cmath>

#include "planner/crop/crop_settings.h"

namespace rickyard {

/// Soil temperature proxy ("lagged air"): an exponential mean of the day's mean air temperature. Starts at the first day's mean.
inline double soil_temperature_next(double soil_c, double mean_air_c, double weight) { return soil_c + weight * (mean_air_c - soil_c); }

/// Counts days in a row; one per land unit and season.
struct SowingWatch {
  int warm = 0, workable = 0;
};

/// Looks at one day before sowing: soil_c of the day, water fraction of the drilling layer at the end of the day before. Returns whether
/// the day is workable.
inline bool watch_day(const SowingSettings& rules, double soil_c, double mean_air_c, double rain_mm, double drilling_layer_frac,
                      double workable_frac, SowingWatch& watch) {
  constexpr int kWarmDays = 3;
  constexpr double kSlack = 1e-9;  // soil drained to field capacity counts as being at it
  watch.warm = soil_c >= rules.soil_c ? watch.warm + 1 : 0;
  const bool workable = watch.warm >= kWarmDays && rain_mm < rules.rain_max_mm && mean_air_c > rules.frozen_c &&
                        drilling_layer_frac <= workable_frac + kSlack;
  watch.workable = workable ? watch.workable + 1 : 0;
  return workable;
}

/// Moisture in percent, wet basis, at which barley settles in air of this temperature and humidity (Chung & Pfost equation with the
/// constants of ASAE D245 for barley, from memory); humidity is taken within 10 to 95 %.
inline double equilibrium_moisture_pct(double air_c, double humidity_pct) {
  constexpr double kE = 0.33363, kF = 0.050279, kC = 91.323;
  const double dry_basis = kE - kF * std::log(-(air_c + kC) * std::log(std::clamp(humidity_pct, 10.0, 95.0) / 100));
  return 100 * dry_basis / (1 + dry_basis);
}

/// Whether the weather lets a combine work.
inline bool combine_day(const HarvestSettings& rules, double rain_mm, double rain_before_mm, double humidity_pct) {
  return rain_mm < rules.rain_max_mm && rain_before_mm < rules.rain_before_max_mm && humidity_pct < rules.humidity_max_pct;
}

}  // namespace rickyard
