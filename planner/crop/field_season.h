#pragma once
// One crop on one land unit through one season, day by day, on top of its soil water.
#include <array>

#include "planner/crop/canopy.h"
#include "planner/crop/crop_record.h"
#include "planner/crop/field_work.h"
#include "planner/crop/season_windows.h"
#include "planner/crop/soil_water.h"
#include "planner/crop/stages.h"
#include "planner/crop/yield_response.h"

namespace rickyard {

/// Weather of one day at one land unit.
struct FieldWeather {
  double rain_mm = 0, rain_before_mm = 0;  // the day; the day before (0 on the first day of the simulation)
  double tmin_c = 0, tmax_c = 0, et0_mm = 0, radiation_mj = 0, daylight_h = 0;
  double vapour_kpa = -1;  // negative: not known, e0(tmin) stands in
  int warmth = 0;          // tmin + tmax in 0.01 C
};

/// The order for one run in one season.
struct FieldPlan {
  int planned = 0;  // season day from which drilling may start
  int wait_days = 0;
  double thermal_factor = 1;
  int drilled_after = 1;  // workable days of drilling up to this part of the area
  int sown_on = -1;       // season day of a known sowing; -1: by the rule
};

/// Thermal time and light of one crop, without the soil. Development needs no water.
struct Development {
  int sown = -1;  // season day; -1 while not sown
  Phase phase = Phase::fallow;
  double thermal_units = 0, thermal_cd = 0;
  double light_mj = 0;  // intercepted, of all wavelengths
};

/// State of one crop and season. Call `day` for season days begin .. days - 1 in order, then `finish`.
class FieldSeason {
 public:
  FieldSeason() = default;
  FieldSeason(const SoilColumn& soil, const SoilWater& start, const SeasonWindow& window, const FieldPlan& plan);

  void day(const CropSettings& settings, int season_day, const FieldWeather& weather);
  CropRecord finish(const CropSettings& settings) const;
  const SoilWater& water() const { return water_; }
  /// Water of the days so far.
  SeasonBalance balance() const;
  /// Whether the last day was workable; false once the crop is sown.
  bool workable() const { return workable_; }

 private:
  void sow_if_fit(const CropSettings& settings, int season_day, const FieldWeather& weather);
  bool drill_reaches(int season_day);
  void develop(const CropSettings& settings, int season_day, const FieldWeather& weather);
  void dry_grain(const HarvestSettings& rules, const FieldWeather& weather, double humidity_pct);
  void suffer_extremes(const CropSettings& settings, const FieldWeather& weather);
  void ripen(const CropSettings& settings, int season_day, const FieldWeather& weather);
  void keep_balance(const CropSettings& settings, int season_day, const FieldWeather& weather, const WaterDay& water);

  SoilColumn soil_;
  SoilWater water_, start_;
  SeasonWindow window_;
  FieldPlan plan_;
  SowingWatch watch_;
  int workable_of_drilling_ = 0;  // workable days since drilling started, that day included
  bool workable_ = false;
  double soil_c_ = 0, grain_moisture_pct_ = 0;
  Development crop_, planned_crop_;                    // as sown; as if sown on the planned date
  std::array<double, 3> et_mm_{}, et_potential_mm_{};  // leaves, stem, grain fill
  struct Asked {
    double past_ready_mm = 0;  // depletion of the root zone beyond its readily available water, at the end of the day
    double net_mm = 0;         // ET0 less the rain that went into the soil
  };
  std::array<Asked, kFillDays + 1> asked_{};  // the last days, by season day modulo their number
  CropRecord record_;
  SeasonBalance balance_;
};

}  // namespace rickyard
