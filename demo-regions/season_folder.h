#pragma once
// Puts the whole season folder together: weather, soils, regions, history, and the tables kept as templates.
#include <string>
#include <vector>

#include "demo-regions/cell_weather.h"
#include "demo-regions/region_shapes.h"
#include "demo-regions/soils.h"

namespace rickyard::demo {

/// Land of the archipelago on both grids.
struct Archipelago {
  std::vector<RegionShape> regions;
  std::vector<std::size_t> weather_cells;   // indices into kWeatherGrid of cells that touch land, ascending
  std::vector<CellClimate> climates;        // [weather cell]
  std::vector<std::string> region_of_cell;  // [weather cell] region at the centre, empty for none
  std::vector<double> water_mm;             // [weather cell] plant-available water of its crop land
  std::vector<bool> mapped;                 // [soil pixel] in a weather cell that touches land: soil is mapped to the cell's edge
  std::vector<std::uint8_t> soils;          // [soil pixel]
  std::vector<bool> crop;                   // [soil pixel] crop land, never off the shore
  std::vector<double> elevation_m;          // [soil pixel]
};
Archipelago make_archipelago(unsigned seed);

struct DemoChoice {
  std::string folder;     // made where it is missing
  std::string templates;  // folder of season.toml and tables, copied as they are
  unsigned seed = 7;
  int years = 31;  // the last so many calendar years to 2026; fewer only for quick trials
};
/// Copies season.toml and the tables of a folder into another. Throws std::runtime_error where there are none.
void copy_templates(const std::string& templates, const std::string& folder);
/// Throws std::runtime_error naming what failed.
void make_season_folder(const DemoChoice& choice);

}  // namespace rickyard::demo
