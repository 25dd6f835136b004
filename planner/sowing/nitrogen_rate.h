#pragma once
// Nitrogen rate what-if: arithmetic on published slopes, no dose.
#include <algorithm>

#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"
#include "planner/sowing/sowing_advice.h"

namespace rickyard {

/// Nitrogen rate that goes with a yield, kg N/ha, not below 0: rate_at + kg_per_t (yield - yield_at).
/// With 20 kg/t and yield_at 7 this is AHDB RB209 Section 4 (June 2023), Table 4.23.
inline double rate_of_yield(double rate_at, double yield_at, double yield_t_ha, double kg_per_t) {
  return std::max(rate_at + kg_per_t * (yield_t_ha - yield_at), 0.0);
}

/// The same read the other way: the yield that goes with a changed rate, held inside the table's yields. A yield outside them to begin
/// with moves towards them only.
inline double yield_of_rate(double yield_t_ha, double change_kg_ha, double kg_per_t, double least_t_ha, double most_t_ha) {
  return std::clamp(yield_t_ha + change_kg_ha / kg_per_t, std::min(least_t_ha, yield_t_ha), std::max(most_t_ha, yield_t_ha));
}

/// Rates of -60 .. +60 kg/ha in steps of 10 around the row's, none below 0. one, forecast: as year_figures (year_figures.h), the crop
/// sown on the planned date. weights: of its years.
RateWhatIf rate_what_if(const Season& one, const HarvestForecast& forecast, const std::vector<double>& weights);

}  // namespace rickyard
