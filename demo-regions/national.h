#pragma once
// A season for a whole country: the demo's islands stretched to hundreds of thousands of cells, for trying large plans.
#include <string>

namespace rickyard::demo {

struct NationalChoice {
  std::string folder;     // made where it is missing
  std::string templates;  // folder of season.toml and the tables that are copied as they are
  unsigned seed = 7;
  int cells = 240000;  // land cells wanted, about: 240,000 are of 1 km2, fewer are larger; the islands stay the same
  int regions = 200;   // one contract row each
  int years = 31;      // the last so many calendar years to 2026
  int dates = 13;      // planned sowing dates, three days apart from 15 March
  int threads = 0;     // 0: all cores
  bool compressed = true;
};

/// Writes the season folder. Years are made side by side, each day by day, so that memory stays within a few hundred MB whatever the size;
/// the same bytes for any number of threads. Returns the number of land cells. Throws std::runtime_error naming what failed.
std::size_t make_national_season(const NationalChoice& choice);

}  // namespace rickyard::demo
