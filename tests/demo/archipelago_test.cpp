#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "tests/demo/made_weather.h"

namespace rickyard::demo {

TEST_CASE("eleven regions on three islands, some in parts and some with holes") {
  const auto& regions = made_weather().isles.regions;
  std::set<std::string> ids, islands;
  int in_parts = 0, with_holes = 0;
  for (const auto& region : regions) {
    ids.insert(region.id);
    islands.insert(region.island);
    const auto& text = region.outline_wkt;
    int parts = 0, rings = 0, depth = 0;
    const int ring_depth = text.starts_with("MULTI") ? 3 : 2;
    for (const char c : text) {
      if (c == '(' && ++depth == ring_depth) ++rings;
      if (c == '(' && depth == ring_depth - 1) ++parts;
      if (c == ')') --depth;
    }
    CHECK(std::ranges::count(text, ',') > 300);  // wiggly
    in_parts += parts > 1;
    with_holes += rings > parts;
  }
  CHECK(ids.size() == 11);
  CHECK(islands.size() == 3);
  CHECK(in_parts >= 2);
  CHECK(with_holes >= 3);
}

TEST_CASE("about two thousand weather cells hold land, and each region has many of them") {
  const auto& isles = made_weather().isles;
  CHECK(isles.weather_cells.size() > 1900);
  CHECK(isles.weather_cells.size() < 2300);
  for (const auto& region : isles.regions) {
    CAPTURE(region.id);
    CHECK(std::ranges::count(isles.region_of_cell, region.id) > 60);
  }
}

TEST_CASE("every soil series and crop land occur; sand and clay leave room for silt") {
  const auto& isles = made_weather().isles;
  std::set<int> found;
  double crop = 0, land = 0;
  for (std::size_t i = 0; i < isles.mapped.size(); ++i) {
    if (!isles.mapped[i]) continue;
    found.insert(isles.soils[i]);
    land += 1;
    crop += isles.crop[i];
  }
  CHECK(found.size() == kSoilSeries.size());
  CHECK(crop / land > 0.3);
  CHECK(crop / land < 0.7);
  for (const auto& soil : kSoilSeries) CHECK(soil.sand_pct + soil.clay_pct <= 100);
}

}  // namespace rickyard::demo
