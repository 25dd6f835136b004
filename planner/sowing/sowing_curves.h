#pragma once
// Curves over sowing dates from the daily crop: all dates, ways and regions in one run.
#include <optional>
#include <vector>

#include "planner/quality/forecast_harvest.h"
#include "planner/sowing/sowing_places.h"
#include "planner/weather/known_weather.h"

namespace rickyard {

/// The crop runs of several places: equal requests share a run.
class SowingRuns {
 public:
  /// The place of a run in `runs`, with the units joined in.
  std::size_t add(const CropRun& request, const std::vector<int>& units);
  const std::vector<CropRun>& runs() const { return runs_; }

 private:
  std::vector<CropRun> runs_;
};

/// One field that waits from `date` for its first workable date; one sown on `date` whatever the soil.
CropRun waiting_run(const Season& season, const BaseHarvest& base, const SowingPlace& place, const Date& date);
CropRun at_once_run(const Season& season, const BaseHarvest& base, const SowingPlace& place, const Date& date);

/// What a place's curves are read from.
struct GrownPlace {
  const Season& season;
  const SowingPlace& place;
  const BaseHarvest& base;
  const CropRecords& records;
  const std::vector<double>& weights;  // of records.harvest_years
};

/// The records of one run as a forecast of one row, for year_figures (year_figures.h).
HarvestForecast forecast_of_run(const GrownPlace& grown, std::size_t run);
/// One way of sowing; date: what its run was made for.
SowingResult sowing_result(const GrownPlace& grown, std::size_t run, const Season& one, const Date& date);
/// The two largest mean losses of a run, in words.
std::vector<std::string> loss_drivers(const GrownPlace& grown, std::size_t run, const Season& one);

}  // namespace rickyard
