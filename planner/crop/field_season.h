#pragma once
// One crop on one land unit through one season, day by day, on top of its soil water.
#include <array>

#include "planner/crop/canopy.h"
#include "planner/crop/crop_record.h"
#include "planner/crop/field_work.h"
#include "planner/crop/season_windows.h"
#include "planner/crop/soil_water.h"
#include "planner/crop/stages.h"

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
  int planned = 0;  // season day from which the crop may be sown
  int wait_days = 0;
  double thermal_factor = 1;
};

/// State of one crop and season. Call `day` for season days begin .. days - 1 in order, then `finish`.
class FieldSeason {
 public:
  FieldSeason() = default;
  FieldSeason(const SoilColumn& soil, const SoilWater& start, const SeasonWindow& window, const FieldPlan& plan);

  void day(const CropSettings& settings, int season_day, const FieldWeather& weather);
  CropRecord finish(const CropSettings& settings) const;
  const SoilWater& water() const { return water_; }

 private:
  void sow_if_fit(const CropSettings& settings, int season_day, const FieldWeather& weather);
  void develop(const CropSettings& settings, int season_day, const FieldWeather& weather);
  void suffer_extremes(const CropSettings& settings, const FieldWeather& weather);
  void ripen(const CropSettings& settings, int season_day, const FieldWeather& weather);
  void keep_balance(const CropSettings& settings, int season_day, const FieldWeather& weather, const WaterDay& water);

  static constexpr int kFillDays = 42;  // six weeks before ripeness

  SoilColumn soil_;
  SoilWater water_, start_;
  SeasonWindow window_;
  FieldPlan plan_;
  SowingWatch watch_;
  Phase phase_ = Phase::fallow;
  double soil_c_ = 0, thermal_units_ = 0, thermal_cd_ = 0;
  double light_mj_ = 0;                                // intercepted, of all wavelengths
  std::array<double, 3> et_mm_{}, et_potential_mm_{};  // leaves, stem, grain fill
  std::array<double, kFillDays> depletion_{};          // of the last six weeks, by season day modulo 42
  CropRecord record_;
};

}  // namespace rickyard
