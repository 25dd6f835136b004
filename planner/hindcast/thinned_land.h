#pragma once
// A region's land spoken for by a few of its units: what makes thirty seasons on four dates quick.
#include "planner/season/land.h"

namespace rickyard {

/// The same cells, soils and units; each region keeps at most `units_per_region` of its units, drawn evenly over its hectares. Its units
/// stand in order of the water their soil holds for roots, of equals in their own order: drawing i of n takes the unit that holds hectare
/// (i + 0.5)/n of the region and stands for 1/n of it (a unit drawn k times for k/n). Regions with no more units than that stay as they
/// are; 0: all do.
Land thinned_land(const Land& land, int units_per_region);

}  // namespace rickyard
