#include "demo-regions/cell_weather.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace rickyard::demo {
namespace {

/// 1 at the peak day, -1 half a year away.
double season_wave(int day_of_year, double peak_day) { return std::cos(2 * std::numbers::pi * (day_of_year - peak_day) / 365.25); }

double lee_share(const CellClimate& cell) { return std::clamp((1500 - cell.annual_rain_mm) / 900, 0.0, 1.0); }

}  // namespace

RainLaw rain_law(const CellClimate& cell, const YearAnomaly& anomaly, int day_of_year) {
  const double lee = lee_share(cell);
  // Half of the seasonal swing lies in the number of wet days, half in their size; the square's mean is divided out.
  const double swing = 0.5 * (0.06 * lee + 0.30 * (1 - lee));
  const double season = 1 + swing * season_wave(day_of_year, 330);
  const double factor = rain_factor_on(anomaly, day_of_year, lee);
  const double usual_wet_share = 0.40 + 0.25 * (1 - lee);
  const double usual_amount = cell.annual_rain_mm / 365.25 / usual_wet_share / (1 + 0.5 * swing * swing);
  const double wet_share = std::clamp(usual_wet_share * season * std::pow(factor, 0.55), 0.03, 0.95);
  RainLaw law;
  law.wet_after_dry = wet_share * (1 - kPersistence);
  law.wet_after_wet = law.wet_after_dry + kPersistence;
  law.mean_wet_day_mm = std::max(0.5, usual_amount * season * std::pow(factor, 0.45));
  return law;
}

TemperatureLaw temperature_law(const CellClimate& cell, const YearAnomaly& anomaly, int day_of_year, bool wet) {
  const double summer = 0.5 * (1 + season_wave(day_of_year, 195));
  // January about 4 C, July about 14.5 C near the sea; sea air keeps the warmest day late.
  double mean = 9.45 + 5.35 * season_wave(day_of_year, 208) - 0.0065 * (cell.elevation_m - 50) - 0.4 * (cell.lat_deg - 56.1) +
                warmth_on(anomaly, day_of_year);
  // Rain cools a summer day and warms a winter one.
  mean += (wet ? 0.5 : -0.5) * (0.9 - 2.0 * summer);
  // Sea air keeps the daily range small; the wet coast lies under more cloud.
  const double cloud = 1 - 0.25 * (1 - lee_share(cell));
  const double swing = cloud * (wet ? 3.8 + 0.8 * summer : 5.2 + 1.4 * summer);
  TemperatureLaw law;
  law.tmin_mean_c = mean - 0.5 * swing;
  law.tmax_mean_c = mean + 0.5 * swing;
  law.tmin_sd_c = (wet ? 2.1 : 2.6) + 0.4 * (1 - summer);
  law.tmax_sd_c = (wet ? 1.9 : 2.4) + 0.4 * (1 - summer);
  return law;
}

}  // namespace rickyard::demo
