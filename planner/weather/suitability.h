#pragma once
// How well a region suits the crop, in words with figures: rain, drainage, summer nights, frost, day length.
#include <string>
#include <vector>

#include "planner/season/land.h"
#include "planner/weather/archive.h"

namespace rickyard {

/// Limits behind the words. Rain: common practice, no source; the others judgement.
struct SuitabilityLimits {
  double rain_min_mm = 500, rain_max_mm = 1000;  // a year
  double night_max_c = 14;  // mean lowest temperature of the two warmest months (July and August; January and February in the south)
  double frosts_max = 5;    // nights at or under 0 C a year in the two months before midsummer's end (May and June; November and December)
  double day_length_min_h = 15;  // longest day
  double slow_share_max = 0.25;  // share of the land in soil group D
};

/// One sentence per point, hectare-weighted over the region's land units; each says "suits" or "outside" with the figure.
/// region: index into land.regions. Missing days are left out of the means. Empty where the region has no land unit.
std::vector<std::string> suitability(const Land& land, const WeatherArchive& archive, int region, const SuitabilityLimits& limits);
std::vector<std::string> suitability(const Land& land, const WeatherArchive& archive, int region);

}  // namespace rickyard
