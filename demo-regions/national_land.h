#pragma once
// Land of the national season: one grid for weather and soil, finer than the demo's and stretched.
#include <cstdint>
#include <string>
#include <vector>

#include "demo-regions/cell_weather.h"
#include "demo-regions/region_shapes.h"
#include "demo-regions/smooth_fields.h"

namespace rickyard::demo {

struct NationalLand {
  Grid grid;  // in degrees, as it is written
  std::vector<RegionShape> regions;
  std::vector<std::int16_t> region_of;  // [cell of grid] region at the centre, -1 for none
  std::vector<std::size_t> land;        // indices into grid of cells that touch a region, ascending
  std::vector<std::size_t> row_start;   // [row + 1] first land cell of each row
  std::vector<CellClimate> climates;    // [land cell]
  std::vector<std::uint8_t> soils;      // [cell of grid]
  std::vector<double> crop_share;       // [cell of grid]
};
/// cells: land cells wanted, about. The land is that of the demo with the same seed, seen through a finer or coarser grid.
NationalLand make_national_land(unsigned seed, int cells, int regions);

/// Nodes of its weather: about 60 km apart, well within the reach of rain.
inline NodeGrid weather_nodes(const NationalLand& land) { return {land.grid, 11, 13}; }

/// contracts.csv: a row a region, planted hectares by its crop land, `dates` planned sowing dates dealt out in turn.
void write_national_contracts(const NationalLand& land, int dates, const std::string& path);

}  // namespace rickyard::demo
