#pragma once
// The arithmetic of the fast kernel: days outside, sixteen land units inside, the same operations in the same order on every instruction
// set. What each step means stands in METHODS.md, "Crop"; the scalar code (field_season.cpp, soil_water.cpp) defines it.
#include <vector>

#include "planner/crop/crop_settings.h"
#include "planner/crop/lanes.h"

namespace rickyard {

/// Water limits of the lanes' soils, as SoilColumn.
struct LaneSoil {
  Lanes wilting, field_capacity, saturation, shallow_m, full_m, drain_mm_day, evaporation_m, tew_mm, rew_mm, retention_mm, workable_frac;
};

/// Soil water of the lanes at the end of a day, as SoilWater, and what has drained from `autumn` to winter_end so far.
struct LaneWater {
  Lanes root_mm, lower_mm, depth_m, surface_mm, winter_mm;
};

/// Weather of a block and season, and what depends on weather alone: all [season day]; days before `begin` are not filled.
struct LaneWeather {
  int begin = 0, days = 0;
  bool vapour_given = false;
  LaneDays rain_mm, tmin_c, tmax_c, et0_mm, radiation_mj, daylight_h, vapour_kpa;
  LaneDays warmth;                         // tmin + tmax in 0.01 C
  LaneDays thermal;                        // units of 1/200 C d
  LaneDays thermal_leafy;                  // the same times the day-length factor, for days before heading
  LaneDays warm;                           // days in a row with the soil warm enough to sow
  LaneDays heat_sum, frost_sum, rain_sum;  // up to and with the day
  // After ripeness; filled for days [harvest_from, harvest_to).
  LaneDays humidity_pct, settled_pct, drying;
  int harvest_from = 0, harvest_to = 0;

  /// Makes room; what was filled is forgotten, memory is kept.
  void resize(int first, int count);
};

/// A day whose weather comes from rain and temperatures alone: what its rain is multiplied by, and radiation outside the atmosphere.
struct PlainDay {
  double rain_factor = 1;
  const Lanes* ra_mj = nullptr;
};
struct PlainWeather {
  double krs;
  const Lanes& clear_share;  // clear-sky radiation over ra
  const std::vector<PlainDay>& days;
};

/// Bare soil from day to day, before any crop is up: what every sowing date shares.
struct LaneFallow {
  std::vector<LaneWater> water;      // [season day] at its end
  LaneDays past_ready_mm, asked_mm;  // as FieldSeason's
  std::vector<unsigned> workable;    // [season day] bit of each lane; from the day `watch_from` on
  int watch_from = 0, next = 0;      // days before `next` are done
};

/// Canopy as a function of the share of full cover (canopy.h), in equal steps; values between by straight lines.
struct CanopyTable {
  static constexpr int kSteps = 4096;
  std::vector<double> light;  // [kSteps + 2]
  std::vector<double> cover;  // rising, then falling, [kSteps + 2] each
  static CanopyTable of(const CropSettings& settings);
};

/// One crop on the lanes: thermal time and canopy by day.
struct LaneCanopy {
  int from = 0, to = 0;  // days that are filled: [from, to)
  LaneDays thermal_cd, kcb, cover, depth_m;
  Lanes light_mj;
};

/// Water of a crop from the day it is up; running sums by day from each lane's own emergence.
struct LaneGrowth {
  LaneDays et_sum, etc_sum, waterlogged_sum, past_ready_mm, asked_mm;
  LaneWater water;
};

namespace lane_kernel {

/// From quantised rain, tmin and tmax in their places to physical units, warmth, radiation and ET0 by Hargreaves, as CellDayReader::read.
void plain_weather(const PlainWeather& plain, LaneWeather& weather);
/// Thermal time, soil warmth and running sums from weather, of all days.
void weather_sums(const CropSettings& settings, bool leafy, LaneWeather& weather);
/// Humidity, the moisture grain would settle at and its drying, for days [from, to).
void weather_of_harvest(const HarvestSettings& rules, int from, int to, LaneWeather& weather);
/// Bare soil on to the end of day `to`; autumn and winter_end bound the winter's drainage.
void fallow(const CropSettings& settings, const LaneSoil& soil, const LaneWeather& weather, int to, int autumn, int winter_end,
            LaneFallow& out);
/// Thermal time, canopy and light of crops sown on these days (-1: never), until all are ripe or the season ends.
void canopy(const CropSettings& settings, const CanopyTable& table, const LaneSoil& soil, const LaneWeather& weather, double thermal_factor,
            const Lanes& sown, LaneCanopy& out);
/// Light alone, as `canopy` counts it.
void light(const CropSettings& settings, const CanopyTable& table, const LaneWeather& weather, double thermal_factor, const Lanes& sown,
           Lanes& light_mj);
/// Water under the canopies of days [from, to); every lane begins on its own day of emergence with the bare soil of the evening before.
void growth(const CropSettings& settings, const LaneSoil& soil, const LaneWeather& weather, const LaneFallow& fallow_days,
            const LaneCanopy& canopy_days, const Lanes& emerged, int from, int to, int autumn, int winter_end, LaneGrowth& out);

}  // namespace lane_kernel
}  // namespace rickyard
