#pragma once
// What the weather of one place follows on one day: the parameters of Richardson's scheme.
// Richardson, C. W. (1981), Stochastic simulation of daily precipitation, temperature, and solar radiation,
// Water Resources Research 17(1), 182-190.
#include "demo-regions/weather_years.h"

namespace rickyard::demo {

struct CellClimate {
  double lon_deg = 0, lat_deg = 0, elevation_m = 0, annual_rain_mm = 0;
};

inline constexpr double kPersistence = 0.32;  // lag-1 autocorrelation of rain occurrence: P(wet|wet) - P(wet|dry)
inline constexpr double kGammaShape = 0.75;   // of rain on a wet day above the least measured amount
inline constexpr double kLeastRainMm = 0.1;   // a wet day has at least this much

struct RainLaw {
  double wet_after_dry = 0, wet_after_wet = 0;  // transition probabilities
  double mean_wet_day_mm = 0;                   // kLeastRainMm + shape * scale
};
RainLaw rain_law(const CellClimate& cell, const YearAnomaly& anomaly, int day_of_year);

/// Means and standard deviations of the day's extremes, given whether it rains.
struct TemperatureLaw {
  double tmin_mean_c = 0, tmax_mean_c = 0, tmin_sd_c = 0, tmax_sd_c = 0;
};
TemperatureLaw temperature_law(const CellClimate& cell, const YearAnomaly& anomaly, int day_of_year, bool wet);

}  // namespace rickyard::demo
