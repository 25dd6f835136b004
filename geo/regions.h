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
  std::string shown;    // path as written
  std::string crs_wkt;
  std::vector<RegionShape> regions;  // in file order; faulty features are left out and logged
};

/// Reads the layer. Invalid rings are repaired with a warning; everything wrong goes to the log. nullopt: the layer cannot be used at all.
std::optional<RegionLayer> read_region_layer(const RegionSource& source, InputLog& log);

/// Names every pair of regions that share at least 1 ha, with the area.
void report_overlaps(const RegionLayer& layer, InputLog& log);

/// Geometry in longitude and latitude (WGS84), edges bent; nullopt where it has no image.
std::optional<MultiPolygon> to_lonlat(const MultiPolygon& shape, const std::string& crs_wkt);

}  // namespace rickyard
