#pragma once
// A soil map: eight series laid out by two noise fields, wetter and heavier soils in the wet west.
#include <array>
#include <cstdint>
#include <vector>

#include "demo-regions/grid.h"
#include "demo-regions/terrain.h"

namespace rickyard::demo {

/// Texture by weight (sand + clay <= 100), organic matter percent by weight, deepest rooting in metres.
struct SoilSeries {
  const char* name;
  double sand_pct, clay_pct, organic_matter_pct, root_depth_m;
};
extern const std::array<SoilSeries, 8> kSoilSeries;

/// [cell of grid] index into kSoilSeries.
std::vector<std::uint8_t> soil_map(unsigned seed, const Grid& grid, const Terrain& terrain);
/// [cell of grid] true where barley may stand in some year: low, not peat, in patches.
std::vector<bool> crop_land(unsigned seed, const Grid& grid, const Terrain& terrain, const std::vector<std::uint8_t>& soils);
/// [cell of grid] share of the cell under the plough, 0.02 to 0.95: the same patches seen from far, thin on hills and peat.
std::vector<double> crop_shares(unsigned seed, const Grid& grid, const Terrain& terrain, const std::vector<std::uint8_t>& soils);

}  // namespace rickyard::demo
