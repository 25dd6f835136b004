#pragma once
// Islands and the regions on them: wiggly invented outlines, some with holes, some in several parts.
#include <cstdint>
#include <string>
#include <vector>

#include "demo-regions/grid.h"

namespace rickyard::demo {

/// One region. The outline is well-known text in EPSG:4326 (longitude first).
struct RegionShape {
  std::string id, name, island;
  std::string outline_wkt;
};

/// The same regions for the same seed. Order: main island from the wet coast to the dry one, then the two others.
std::vector<RegionShape> make_region_shapes(unsigned seed);

/// Carries places of the demo to a wider archipelago of the same shape, about the middle of the demo.
struct Stretch {
  double factor = 1;
  static constexpr double kMiddleLon = -27.8125, kMiddleLat = 56.0833;
  double lon(double demo_lon) const { return kMiddleLon + factor * (demo_lon - kMiddleLon); }
  double lat(double demo_lat) const { return kMiddleLat + factor * (demo_lat - kMiddleLat); }
};

/// The same islands stretched and parted into `count` regions of about the same size, a few with a lake; numbered by island.
/// The same regions for the same seed. count >= 3.
std::vector<RegionShape> make_wide_region_shapes(unsigned seed, int count, const Stretch& stretch);

/// For every cell of `grid` the index of the region that covers its centre, -1 for none.
/// With `touched`, cells that a region only touches count too (the last region in order wins).
std::vector<std::int16_t> region_of_cells(const std::vector<RegionShape>& regions, const Grid& grid, bool touched);

/// Writes the regions as a GeoPackage layer "regions" with the fields region and name. Throws std::runtime_error.
void write_regions(const std::vector<RegionShape>& regions, const std::string& path);

}  // namespace rickyard::demo
