#pragma once
// Everything the season's rasters and regions hold, read, checked and turned into land and weather.
#include <filesystem>
#include <optional>
#include <vector>

#include "geo/grid.h"
#include "geo/reading_options.h"
#include "planner/base/problem.h"
#include "planner/base/progress.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"
#include "planner/weather/monthly_archive.h"

namespace rickyard {

/// A raster that was read over the network. Its bytes are not all fetched, so none of its digests is known: in the list of a run's inputs
/// the SHA-256 of the identity stands for it, with a role that says so.
struct RemoteInput {
  std::string url;       // as written in season.toml
  std::string identity;  // size, ETag and date of change as the server states them, one line; empty where it states none
};

struct GeoReading {
  Land land;
  std::optional<WeatherArchive> daily;       // [day][cell of land]
  std::optional<MonthlyArchive> monthly;     // [month][cell of land], where step = "month"
  GridDefinition grid;                       // the weather grid; cell_index places each cell of land on it
  std::vector<Problem> problems;             // everything wrong or doubtful, in order of reading
  std::vector<std::filesystem::path> files;  // every file read, once
  std::vector<RemoteInput> remote;           // every remote raster read, once
  std::vector<Declared> declared;            // what the season file stated in place of the data files
  std::string made_from;                     // with a cache: a text that says all of the above is made from; empty where that is not known
};

/// Reads regions, weather, soils, crop mask and elevation. folder: of season.toml.
/// Never throws for bad input: problems tells all that is wrong, and with an error in it the rest may be incomplete.
/// A season without rasters gives regions without land units.
/// With options.cache a reading without errors is kept whole, and daily weather packed once: the next one opens no raster, and maps the
/// weather (archive.pages; reading it may throw DamagedEntry, after which the same call reads anew). Kept results hold only while every
/// source file, remote raster and setting is the same; rasters or regions through a virtual file (VRT) are read anew each time.
/// A packing that was killed goes on with the next slab of cells.
GeoReading read_geography(const Season& season, const std::filesystem::path& folder, Progress& progress,
                          const ReadingOptions& options = {});

}  // namespace rickyard
