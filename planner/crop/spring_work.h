#pragma once
// The workable days of every spring on bare soil: when a region could drill, whatever it then does.
#include <cstdint>
#include <vector>

#include "planner/crop/crop_run.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"
#include "planner/weather/known_weather.h"

namespace rickyard {

/// Whether a day is workable (METHODS.md, "Crop", step 1) on land units that nothing is sown on that season.
struct SpringWork {
  std::vector<int> units;                  // land unit indices, ascending
  std::vector<int> harvest_years;          // ascending
  int days = 0;                            // season days 0 .. days - 1 are looked at
  std::vector<std::uint8_t> workable_day;  // [year][unit][season day], season day fastest; 0 or 1
  bool workable(int year, int k, int season_day) const { return workable_day[at(year, k) + static_cast<std::size_t>(season_day)] != 0; }
  /// First season day on or after `from` that is the second workable day in a row; -1 where none is.
  int first_workable(int year, int k, int from) const;
  /// Workable days from `from` to `to`, both included.
  int count(int year, int k, int from, int to) const;

 private:
  std::size_t at(int year, int k) const {
    return (static_cast<std::size_t>(year) * units.size() + static_cast<std::size_t>(k)) * static_cast<std::size_t>(days);
  }
};

/// units: ascending. Each spring is watched on bare soil that begins its season with the water the land's own crop left (default_run.h).
/// days: 1 .. the length of the season. known: as in run_crop (crop_run.h); season.crop_year is left out in any case. The same days for any
/// number of threads. Errors as run_crop.
SpringWork spring_work(const Land& land, const WeatherArchive& archive, const std::vector<int>& units, int days, const Season& season,
                       const Growing& growing, const KnownWeather* known = nullptr);

}  // namespace rickyard
