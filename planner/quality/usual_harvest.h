#pragma once
// Thermal factors that make the mean harvest of a contract row meet the user's usual harvest date.
#include <vector>

#include "planner/crop/crop_run.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"

namespace rickyard {

/// [contract]; 1 where a row gives no usual_harvest. From the archive without a patch, so no case moves it:
/// the crop is grown as the table says, twice; lag = mean days from ripeness to harvest; the factor is the mean thermal time from
/// the day after sowing to (usual harvest - lag) over that at ripeness (ripeness_cd x the variety's factor), hectare-weighted
/// over units and averaged over years, rounded to 0.01, within 0.6..1.6. Runs nothing where no row gives the date.
std::vector<double> usual_harvest_factors(const Season& season, const Land& land, const WeatherArchive& archive, const Growing& growing);

}  // namespace rickyard
