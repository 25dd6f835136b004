#pragma once
// Yield factors from water, waterlogging, frost, heat and a wet harvest: each effect has one mechanism.
#include <algorithm>

#include "planner/crop/crop_record.h"
#include "planner/crop/crop_settings.h"

namespace rickyard {

/// FAO-56 eq. 90 for one stage: 1 - Ky (1 - ETa / ETc), within 0..1; 1 where nothing was asked (etc_mm = 0).
inline double water_yield_factor(double ky, double eta_mm, double etc_mm) {
  return etc_mm > 0 ? std::clamp(1 - ky * (1 - eta_mm / etc_mm), 0.0, 1.0) : 1;
}

/// 1 - min(loss x count, most); fractions.
inline double capped_loss_factor(double loss, double count, double most) { return 1 - std::min(loss * count, most); }

/// Light caught by a crop, of all wavelengths, in the relative units of CropRecord::duration.
inline double duration_of(const LightSettings& light, double light_mj) {
  constexpr double kPhotosyntheticShare = 0.5;  // of solar radiation
  return kPhotosyntheticShare * light_mj / light.reference_mj_m2;
}

inline constexpr int kFillDays = 42;  // six weeks before ripeness

/// The largest deficit of the six weeks that end with `ripe` if water had been there for the asking: from what the root zone lacked beyond
/// its readily available water at their beginning, day by day plus what the air asks (ET0) less the rain that went in. Soil that runs dry
/// does not hide the drought. begin: first simulated season day; past_ready_mm(day) and asked_mm(day) as of the end of a day.
template <typename Ready, typename Asked>
double potential_deficit_mm(int begin, int ripe, Ready&& past_ready_mm, Asked&& asked_mm) {
  double deficit = ripe - kFillDays >= begin ? past_ready_mm(ripe - kFillDays) : 0, largest = 0;
  for (int day = std::max(ripe - kFillDays + 1, begin); day <= ripe; ++day) {
    deficit = std::max(deficit + asked_mm(day), 0.0);
    largest = std::max(largest, deficit);
  }
  return largest;
}

/// What counts and sums of a record make of its yield: the factors of waterlogging, frost, heat and harvest, and the product of all.
inline void set_yield(const CropSettings& settings, CropRecord& r) {
  const auto& rules = settings.yield;
  r.waterlogging_factor = capped_loss_factor(rules.waterlogging_loss, r.waterlogged_days, rules.waterlogging_loss_max);
  r.frost_factor = capped_loss_factor(rules.frost_loss, r.frost_nights, rules.frost_loss_max);
  r.heat_factor = std::max(1 - rules.heat_loss * r.heat_degree_days, 0.0);
  // A crop that no combine day reaches by the season's end is lost.
  r.harvest_factor =
      r.harvested < 0 ? 0 : capped_loss_factor(settings.harvest.loss_per_wet_day, r.wet_days_harvest, settings.harvest.loss_max);
  r.relative_yield =
      r.duration * r.sowing_factor * r.water_factor * r.waterlogging_factor * r.heat_factor * r.frost_factor * r.harvest_factor;
}

}  // namespace rickyard
