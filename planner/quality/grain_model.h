#pragma once
// Nitrogen, screenings and germination of one land unit and year from its crop record, before anchoring.
#include <algorithm>

#include "planner/crop/crop_record.h"
#include "planner/quality/grain.h"
#include "planner/quality/quality_settings.h"

namespace rickyard {

/// Archive means of a contract row that the nitrogen model measures a year against.
struct RowMeans {
  double water_loss_share = 0;  // of 1 - water factor
  double drainage_winter_mm = 0;
};

/// N % of a record: dilution of typical N by the share of yield lost to water against its archive mean (at most 0.95), the
/// rise by late sowing less what dilution already gave (not below 0), leaching by winter drainage above its mean.
inline double model_n_pct(const QualitySettings& s, double typical_n_pct, const RowMeans& means, const CropRecord& record) {
  const double x = std::min(record.water_loss_share() - means.water_loss_share, 0.95);
  const double diluted = diluted_n_pct(typical_n_pct, x, s.dilution_k);
  const double weeks_late = std::max(record.sown - s.sowing_flat_days, 0.0) / 7;
  const double late = std::max(s.n_rise_per_week * weeks_late - std::max(diluted - typical_n_pct, 0.0), 0.0);
  return diluted + late + s.n_leaching_per_mm * (record.drainage_winter_mm - means.drainage_winter_mm);
}

/// Rise of log-screenings by a dry or hot grain fill.
inline double screenings_rise(const QualitySettings& s, const CropRecord& record) {
  return s.screenings_per_mm * std::max(record.deficit_fill_mm - s.screenings_from_mm, 0.0) +
         s.screenings_per_heat * record.heat_degree_days;
}

/// Share of the crop that the combines reach late: 1 - days / needed, at least 0.
inline double late_share(double combine_days, double needed) { return needed > 0 ? std::max(1 - combine_days / needed, 0.0) : 0; }

/// Share of grain that a wet or a late harvest spoils, without bound: wet days, and the share of the crop that is cut late.
inline double harvest_failure(const QualitySettings& s, const CropRecord& record) {
  return s.germination_per_wet_day * record.wet_days_harvest + s.late_failure * late_share(record.combine_days, s.combine_days_needed);
}

/// Share of grain that fails on germination, skinning or sprouting: what the harvest spoils beyond what the row's typical figures hold.
inline double germination_failure(const QualitySettings& s, double harvest_failure, double held) {
  return std::clamp(harvest_failure - held, 0.0, s.germination_max);
}

}  // namespace rickyard
