#pragma once
// The spread of nitrogen between farms of one region and season, from growers' rows, or from what share was accepted.
#include <string>

#include "planner/calibration/past_deliveries.h"

namespace rickyard {

struct FarmSpread {
  double sigma_pct = 0;  // % N, from the deliveries alone; 0 where they do not tell
  double se_ln = 0;      // standard error of its logarithm; 0 where it is not known
  int seasons = 0;       // crop years behind it
  int region_seasons = 0;
  bool from_growers = false;
};

inline constexpr int kLeastGrowers = 3;

/// floor_n_pct: the specification's, or -infinity.
FarmSpread farm_spread(const PastDeliveries& past, const ModelledRegions& modelled, double floor_n_pct);

}  // namespace rickyard
