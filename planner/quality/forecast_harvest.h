#pragma once
// The forecast of what grows: crop runs, anchors and grain for every contract row, land unit and weather year.
#include "planner/base/progress.h"
#include "planner/quality/harvest_forecast.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"

namespace rickyard {

/// Runs the crop without a patch for the anchors and, where the patch changes weather or sowing, once more with it.
/// Years: all harvest years of the archive (patch.years is applied by select_years); weights by the season's outlook, see
/// outlook_weights. threads: 0 = all cores, the same bits for any number; progress may be null. InputError as in run_crop.h
/// (crop) and compute_anchors.
HarvestForecast forecast_harvest(const Season& season, const SeasonPatch& patch, const Land& land, const WeatherArchive& archive, int threads, Progress* progress);
inline HarvestForecast forecast_harvest(const Season& season, const SeasonPatch& patch, const Land& land, const WeatherArchive& archive, int threads, Progress& progress) {
  return forecast_harvest(season, patch, land, archive, threads, &progress);
}

/// Weights of years by terciles of April-July rain: years ranked by rain from 0 (ties by position) are dry where 3 rank < n,
/// wet where 3 rank >= 2 n; each class gets its chance spread evenly. Equal thirds, or fewer than three years: 1 / n.
std::vector<double> outlook_weights(const Outlook& outlook, const std::vector<double>& rain_mm);

}  // namespace rickyard
