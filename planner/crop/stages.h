#pragma once
// Thermal time and development. Thermal time is kept in 1/200 C d, so that sums of quantised temperatures are exact.
#include <algorithm>

#include "planner/crop/crop_settings.h"

namespace rickyard {

inline constexpr double kThermalUnitsPerDegreeDay = 200;

/// Degree-days of one day, method 1: max(0, (tmax + tmin) / 2 - base), in 1/200 C d; warmth = tmin + tmax in 0.01 C.
inline double thermal_units(int warmth, double base_c) {
  return std::max(static_cast<double>(warmth) - kThermalUnitsPerDegreeDay * base_c, 0.0);
}

/// Speed of development, 0..1: a function of day length, that is of date and latitude only.
inline double day_length_factor(const StageSettings& stages, double daylight_h) {
  return std::max(1 - stages.day_length_sensitivity * std::max(stages.day_length_full_h - daylight_h, 0.0), 0.0);
}

/// Where a crop stands. Order matters.
enum class Phase { fallow, sown, leaves, stem, grain_fill, ripe };

/// Phase of a sown crop by thermal time since sowing in C d, variety factor already divided out.
inline Phase phase_at(const StageSettings& stages, double thermal_cd) {
  if (thermal_cd >= stages.ripeness_cd) return Phase::ripe;
  if (thermal_cd >= stages.heading_cd) return Phase::grain_fill;
  if (thermal_cd >= stages.stem_extension_cd) return Phase::stem;
  return thermal_cd >= stages.emergence_cd ? Phase::leaves : Phase::sown;
}

}  // namespace rickyard
