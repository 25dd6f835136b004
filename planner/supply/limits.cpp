#include "planner/supply/limits.h"

#include <algorithm>

namespace rickyard {

GrainLimits grain_limits(const Season& season, const SeasonPatch& patch) {
  GrainLimits out;
  const auto& spec = season.spec;
  const double season_limit = spec.limit_n_pct.value_or(1.65);
  const double width = std::max(spec.stop_n_pct.value_or(season_limit) - season_limit, 0.0);
  out.limit = patch.limit_n_pct.value_or(season_limit);
  out.stop = std::max(patch.stop_n_pct.value_or(out.limit + width), out.limit);
  if (patch.floor_n_pct || spec.floor_n_pct) out.floor = patch.floor_n_pct ? *patch.floor_n_pct : *spec.floor_n_pct;
  out.last = spec.limit_policy == LimitPolicy::after_harvest ? std::max(spec.limit_max.value_or(out.stop), out.stop) : out.stop;
  out.screenings_max_pct = spec.screenings_max_pct.value_or(10);
  return out;
}

}  // namespace rickyard
