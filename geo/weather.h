#pragma once
// Weather rasters of the season: opened, compared, and read into the archive for the cells that hold land.
#include <optional>
#include <vector>

#include "geo/raster_stack.h"
#include "planner/base/progress.h"
#include "planner/weather/archive.h"
#include "planner/weather/monthly_archive.h"

namespace rickyard {

/// The stacks that opened. All share grid, step, calendar and dates; a stack that does not is left out and logged.
struct WeatherStacks {
  std::optional<RasterStack> rain, tmin, tmax, tmean, wind, humidity, radiation, et0, wet_days;
  double half_range_c = 0;  // with tmean: half the stated diurnal range
  /// The first stack that opened; nullptr where none did.
  const RasterStack* leader() const;
};

WeatherStacks open_weather(const Season& season, InputLog& log);

/// Grid cells to read, as row * columns + column, ascending.
using CellList = std::vector<int>;
/// The smallest window that holds all cells.
Window window_of(const CellList& cells, const GridDefinition& grid);

struct WeatherReading {
  std::optional<WeatherArchive> daily;
  std::optional<MonthlyArchive> monthly;
  std::vector<char> complete;  // [cell] 1 where rain and temperatures are there on every day (month)
};

/// Reads, converts, checks and quantises. Daily: rain to 0.01 mm and temperatures to 0.01 C, halves away from zero, once.
/// Values outside their bounds are errors naming the first band and cell. Missing values stay missing.
WeatherReading read_weather(const WeatherStacks& stacks, const CellList& cells, Progress& progress, InputLog& log);

/// Leaves only these cells (positions, ascending) in the archives.
void keep_cells(WeatherReading& reading, const std::vector<int>& positions);

}  // namespace rickyard
