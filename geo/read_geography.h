#pragma once
// Everything the season's rasters and regions hold, read, checked and turned into land and weather.
#include <filesystem>
#include <optional>
#include <vector>

#include "geo/grid.h"
#include "planner/base/problem.h"
#include "planner/base/progress.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"
#include "planner/weather/monthly_archive.h"

namespace rickyard {

struct GeoReading {
  Land land;
  std::optional<WeatherArchive> daily;       // [day][cell of land]
  std::optional<MonthlyArchive> monthly;     // [month][cell of land], where step = "month"
  GridDefinition grid;                       // the weather grid; cell_index places each cell of land on it
  std::vector<Problem> problems;             // everything wrong or doubtful, in order of reading
  std::vector<std::filesystem::path> files;  // every file read, once
  std::vector<Declared> declared;            // what the season file stated in place of the data files
};

/// Reads regions, weather, soils, crop mask and elevation. folder: of season.toml.
/// Never throws for bad input: problems tells all that is wrong, and with an error in it the rest may be incomplete.
/// A season without rasters gives regions without land units.
GeoReading read_geography(const Season& season, const std::filesystem::path& folder, Progress& progress);

}  // namespace rickyard
