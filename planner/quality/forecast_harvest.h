#pragma once
// The forecast of what grows: crop runs, anchors and grain for every contract row, land unit and weather year.
#include "planner/crop/crop_run.h"
#include "planner/quality/anchors.h"
#include "planner/quality/crop_runs.h"
#include "planner/quality/harvest_forecast.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"

namespace rickyard {

/// Records of the crop under a patch (or none) with where each contract row's units sit in them.
struct GrownCrop {
  CropRecords records;
  std::vector<CropRun> requests;  // [contract]
  std::vector<RowUnits> rows;     // [contract]
};

/// What every case shares: the crop without a patch, the thermal factors behind it and the anchors made from it.
struct BaseHarvest {
  std::vector<double> harvest_factors;  // [contract], usual_harvest.h
  GrownCrop crop;
  Anchors anchors;
};

/// Grows the crop without a patch. Keep the result while season, land and archive stay the same: a case then costs one more
/// run, or none where it changes neither weather nor sowing. InputError as in run_crop (crop_run.h) and compute_anchors.
BaseHarvest grow_base(const Season& season, const Land& land, const WeatherArchive& archive, const Growing& growing);
/// The same with the harvest factors of usual_harvest.h given, one for each contract row.
BaseHarvest grow_base(const Season& season, const Land& land, const WeatherArchive& archive, const std::vector<double>& harvest_factors,
                      const Growing& growing);

/// What a forecast may use of the season in hand.
enum class Knowledge {
  none,       // past seasons as they were, sown as planned: what anchors, residual sizes and mean prices are measured on
  up_to_date  // its weather up to as_of and its known sowing dates in front of every past season's remainder
};

/// The forecast of a case. Years: all harvest years of the archive (patch.years is applied by select_years); weights by the
/// season's outlook, see outlook_weights. The same bits for any number of threads.
HarvestForecast forecast_harvest(const Season& season, const SeasonPatch& patch, const Land& land, const WeatherArchive& archive,
                                 const BaseHarvest& base, const Growing& growing, Knowledge knowledge = Knowledge::up_to_date);
/// The same with its own base.
HarvestForecast forecast_harvest(const Season& season, const SeasonPatch& patch, const Land& land, const WeatherArchive& archive,
                                 const Growing& growing);

/// Weights of years by terciles of April-July rain: years ranked by rain from 0 (ties by position) are dry where 3 rank < n,
/// wet where 3 rank >= 2 n; each class gets its chance spread evenly. Equal thirds, or fewer than three years: 1 / n.
std::vector<double> outlook_weights(const Outlook& outlook, const std::vector<double>& rain_mm);

}  // namespace rickyard
