#pragma once
// Reads a season folder: season.toml and its tables, with every problem in one list.
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "io/raw_table.h"
#include "planner/base/problem.h"
#include "planner/season/season.h"

namespace rickyard {

/// A file that the season names and that exists.
struct InputFile {
  std::filesystem::path path;  // as it can be opened from here
  std::string relative;        // as written in season.toml
  std::string role;            // "season", a table's name, "regions", "rasters.rain"
};

struct SeasonReading {
  std::optional<Season> season;   // set when `problems` holds no error
  std::vector<Problem> problems;  // errors, warnings and notes, sorted by file, row, column
  std::vector<InputFile> inputs;  // in the order of season.toml's sections; local files only
  RawTable contracts;             // the contracts table as it is written
};

/// Reads everything, runs nothing, never throws for bad input. Rasters and regions are only looked for, not opened.
SeasonReading read_season(const std::filesystem::path& season_toml);

}  // namespace rickyard
