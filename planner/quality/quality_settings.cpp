#include "planner/quality/quality_settings.h"

namespace rickyard {

QualitySettings QualitySettings::from(const ParameterSet& p) {
  QualitySettings s;
  s.default_screenings_pct = p["default_screenings_pct"];
  s.default_other_failure = p["default_other_failure_pct"] / 100;
  s.headland_loss_t_ha = p["headland_loss_t_ha"];
  s.n_sigma_pct = p["n_sigma_farm_pct"];
  s.dilution_k = p["dilution_k"];
  s.n_rate_reference_kg_ha = p["n_rate_reference_kg_ha"];
  s.n_rate_kg_per_tenth = p["n_rate_kg_per_tenth"];
  s.n_rise_per_week = p["n_rise_per_week_late_pct"];
  s.sowing_flat_days = p["sowing_flat_days"];
  s.n_leaching_per_mm = p["n_leaching_pct_per_100mm"] / 100;
  s.screenings_sigma = p["screenings_sigma_ln"];
  s.screenings_from_mm = p["screenings_deficit_from_mm"];
  s.screenings_per_mm = p["screenings_ln_per_mm"];
  s.screenings_per_heat = p["screenings_ln_per_heat_degree_day"];
  s.germination_per_wet_day = p["germination_failure_pct_rainy_week"] / 100 / 7;
  s.germination_max = p["germination_failure_max_pct"] / 100;
  s.combine_days_needed = p["combine_days_needed"];
  s.late_failure = p["late_harvest_failure_pct"] / 100;
  return s;
}

}  // namespace rickyard
