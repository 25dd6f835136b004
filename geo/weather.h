#pragma once
// Weather rasters of the season: opened, compared, and read into the archive for the cells that hold land.
#include <optional>
#include <string>
#include <vector>

#include "geo/raster_stack.h"
#include "geo/reading_options.h"
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

/// A packed archive in the cache: enough to find and map it again.
struct PackedWeather {
  std::string made_from;        // its key; empty: the archive is not kept
  int capacity = 0, cells = 0;  // cells there was room for, and cells that are there
  int days = 0, first_day = 0;  // day_number
  std::vector<char> arrays;     // [array] 1 where it is there, in the order of weather_packed.cpp
};

struct WeatherReading {
  std::optional<WeatherArchive> daily;  // of the cells that are wanted and complete
  std::optional<MonthlyArchive> monthly;
  std::vector<char> complete;  // [cell] 1 where rain and temperatures are there on every day (month)
  PackedWeather packed;
};

/// Reads, converts, checks and quantises. Daily: rain to 0.01 mm and temperatures to 0.01 C, halves away from zero, once.
/// Values outside their bounds are errors naming the first band and cell. Missing values stay missing.
/// wanted: [cell] 1 where the archive needs the cell if its weather is complete; completeness is told of every cell.
/// made_from: all that the weather depends on but the cells; with it and a cache, daily weather is packed once and then mapped. Empty: not.
WeatherReading read_weather(const WeatherStacks& stacks, const CellList& cells, const std::vector<char>& wanted,
                            const std::string& made_from, const ReadingOptions& options, Progress& progress, InputLog& log);

/// The archive mapped from the cache; nullopt where it is not there (any more).
std::optional<WeatherArchive> map_weather(Cache& cache, const PackedWeather& packed);

// --- weather_monthly.cpp ---------------------------------------------------------------------------------------------

/// complete: [cell], set to 0 where a month lacks a value. All cells; wanted ones are taken out afterwards.
MonthlyArchive read_monthly(const WeatherStacks& stacks, const CellList& cells, std::vector<char>& complete, Progress& progress,
                            InputLog& log);
/// Leaves only these cells (positions, ascending).
void keep_cells(MonthlyArchive& archive, const std::vector<int>& positions);

/// "row 3, column 4", counted from 1.
std::string cell_name(int cell, const GridDefinition& grid);

}  // namespace rickyard
