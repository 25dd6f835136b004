#pragma once
// season.toml to the keys of a Season.
#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "io/problem_list.h"
#include "planner/season/season.h"

namespace rickyard {

/// One entry of [tables]: a CSV file, or a sheet of a book.
struct TableFile {
  std::string table, path, sheet;  // sheet empty: CSV
  Place named_at;
};

/// What season.toml says beyond the Season itself.
struct SeasonKeys {
  std::string file = "season.toml";     // as called in messages
  std::vector<TableFile> tables;        // in the order of table_names()
  std::map<std::string, Place> places;  // dotted key, "case[0].name", "spec" (the table itself)
};

/// Place of a dotted key: its own, else its table's with the key's name, else the file's.
Place place_of(const SeasonKeys& keys, const std::string& dotted);

/// Reads the text of season.toml. Every fault is added to `problems`; keys with a fault keep their default.
SeasonKeys read_keys(const std::string& text, const std::string& file, Season& season, ProblemList& problems);

}  // namespace rickyard
