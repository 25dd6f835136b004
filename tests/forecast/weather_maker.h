#pragma once
// A small seeded weather maker for tests: daily rain and temperatures of one cell near 56 N, good enough to move every part of the model.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include "planner/crop/soil_hydraulics.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"

namespace rickyard::testing {

struct Climate {
  double annual_rain_mm = 800;
  double mean_c = 8.6, swing_c = 6.2;  // yearly mean and half range of the mean temperature
  double dry_range_c = 7.5, wet_range_c = 4.8;
  double wet_day_share = 0.50;
  double winter_share = 0.10;  // rain is heavier in winter by this share, lighter in summer
  double slow_share = 1;       // of the memory over months that makes whole seasons dry or wet
};

inline double uniform(std::mt19937_64& engine) { return (static_cast<double>(engine() >> 11) + 0.5) * 0x1p-53; }
inline double normal(std::mt19937_64& engine) {
  return std::sqrt(-2 * std::log(uniform(engine))) * std::cos(2 * std::numbers::pi * uniform(engine));
}

/// Archive of `climates.size()` cells that share the day's wetness and temperature anomaly, so that regions fail together.
inline WeatherArchive make_archive(const std::vector<Climate>& climates, const Date& first, const Date& last, unsigned seed) {
  WeatherArchive archive;
  archive.cells = static_cast<int>(climates.size());
  archive.first_day = first;
  archive.days = static_cast<int>((last - first).days()) + 1;
  const auto size = static_cast<std::size_t>(archive.days) * climates.size();
  archive.rain_cmm.resize(size);
  archive.tmin_cc.resize(size);
  archive.tmax_cc.resize(size);
  std::mt19937_64 engine(seed);
  double anomaly = 0, wet_index = 0, slow = 0;
  for (int day = 0; day < archive.days; ++day) {
    const Date date = first + boost::gregorian::days(day);
    const double season = std::cos(2 * std::numbers::pi * (date.day_of_year() - 20) / 365.25);  // 1 in January, -1 in July
    anomaly = 0.75 * anomaly + 1.5 * normal(engine);
    slow = 0.99 * slow + 0.045 * normal(engine);  // months that are drier or wetter than usual
    wet_index = 0.5 * wet_index + std::sqrt(1 - 0.25) * normal(engine);
    const double amount = -std::log(uniform(engine)), local = 0.85 + 0.3 * uniform(engine);
    for (std::size_t cell = 0; cell < climates.size(); ++cell) {
      const auto& c = climates[cell];
      const double threshold = -std::sqrt(2.0) * 0.0 + (0.5 - c.wet_day_share) * 2.6;
      const bool wet = wet_index + c.slow_share * slow > threshold;
      const double mean_amount = c.annual_rain_mm / (365.25 * c.wet_day_share) * (1 + c.winter_share * season);
      const double rain = wet ? mean_amount * amount * local : 0;
      const double mean = c.mean_c - c.swing_c * season + anomaly;
      const double range = (wet ? c.wet_range_c : c.dry_range_c) * (1 - 0.2 * season);
      const auto at = archive.at(day, static_cast<int>(cell));
      archive.rain_cmm[at] = static_cast<std::uint16_t>(std::lround(std::min(rain, 400.0) * 100));
      archive.tmin_cc[at] = static_cast<std::int16_t>(std::lround((mean - range / 2) * 100));
      archive.tmax_cc[at] = static_cast<std::int16_t>(std::lround((mean + range / 2) * 100));
    }
  }
  return archive;
}

/// Soil class from texture by Saxton & Rawls.
inline SoilClass soil_of(double sand_frac, double clay_frac, double root_depth_m = 1.0) {
  const auto limits = saxton_rawls(sand_frac, clay_frac, 2.5);
  SoilClass soil;
  soil.name = texture_name(usda_texture(100 * sand_frac, 100 * clay_frac));
  soil.sand_frac = sand_frac;
  soil.clay_frac = clay_frac;
  soil.wilting = limits.wilting;
  soil.field_capacity = limits.field_capacity;
  soil.saturation = limits.saturation;
  soil.ks_mm_day = limits.ks_mm_day;
  soil.root_depth_m = root_depth_m;
  soil.hydrologic_group = 1;
  return soil;
}

/// One region per cell, each with every soil in equal shares; latitude the same for all cells.
inline Land make_land(std::size_t cells, const std::vector<SoilClass>& soils, double latitude_deg = 56) {
  Land land;
  land.soils = soils;
  for (std::size_t c = 0; c < cells; ++c) {
    land.cells.push_back({-3.0 + 0.1 * static_cast<double>(c), latitude_deg, 50, 0.1, 0.1});
    Region region;
    region.id = std::string(1, static_cast<char>('A' + static_cast<int>(c)));
    region.name = region.id;
    region.area_ha = 1000;
    for (std::size_t s = 0; s < soils.size(); ++s) {
      region.units.push_back({static_cast<int>(land.units.size()), 1000.0 / static_cast<double>(soils.size())});
      land.units.push_back({static_cast<int>(c), static_cast<int>(s)});
    }
    land.regions.push_back(region);
  }
  return land;
}

}  // namespace rickyard::testing
