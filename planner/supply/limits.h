#pragma once
// The acceptance limits in force: the season's, as a patch changes them.
#include <limits>

#include "planner/season/season.h"

namespace rickyard {

/// Upper edge of the lowest N band, percent.
inline constexpr double kBandEdgeN = 1.50;

/// N on dry matter, percent. floor <= limit <= stop <= last.
struct GrainLimits {
  double floor = -std::numeric_limits<double>::infinity();  // -infinity: off
  double limit = 1.65, stop = 1.65;
  double last = 1.65;            // limit_max under after_harvest, else stop
  double screenings_max_pct = 10;
};

/// A patched limit without a patched stop keeps the season's width between limit and stop.
GrainLimits grain_limits(const Season& season, const SeasonPatch& patch);

}  // namespace rickyard
