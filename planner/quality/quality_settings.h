#pragma once
// The quality parameters in force, copied out of the parameter set before any loop.
#include "planner/base/parameters.h"

namespace rickyard {

struct QualitySettings {
  double default_screenings_pct, default_other_failure;  // the latter as a fraction
  double headland_loss_t_ha;
  double n_sigma_pct, dilution_k, n_rate_reference_kg_ha, n_rate_kg_per_tenth, n_rise_per_week, sowing_flat_days, n_leaching_per_mm;
  double screenings_sigma, screenings_from_mm, screenings_per_mm, screenings_per_heat;
  double combine_days_needed, late_failure;         // the latter as a fraction
  double germination_per_wet_day, germination_max;  // fractions
  static QualitySettings from(const ParameterSet& parameters);
};

}  // namespace rickyard
