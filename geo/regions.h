#pragma once
// Regions from any vector file OGR reads: their ids, and their polygons in the file's own reference system.
#include <optional>
#include <string>
#include <vector>

#include "geo/crs.h"
#include "geo/geometry.h"
#include "geo/input_log.h"

namespace rickyard {

struct RegionShape {
  std::string id, name;
  MultiPolygon shape;  // valid, in the layer's system
};

struct RegionLayer {
  std::string shown;  // path as written
  std::string crs_wkt;
  std::vector<RegionShape> regions;  // in file order; faulty features are left out and logged
};

/// Reads the layer. Invalid rings are repaired with a warning; everything wrong goes to the log. nullopt: the layer cannot be used at all.
std::optional<RegionLayer> read_region_layer(const RegionSource& source, InputLog& log);

/// Names every pair of regions that share at least 1 ha, with the area. to_lonlat: from the layer's system to WGS84.
void report_overlaps(const RegionLayer& layer, const Transform& to_lonlat, InputLog& log);

/// The box of all regions, in the layer's system; nullopt without regions.
std::optional<Box> box_of(const RegionLayer& layer);

}  // namespace rickyard
