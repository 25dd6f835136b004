#pragma once
// Between OGR geometries and plain polygons; for .cpp files of this room only.
#include <memory>
#include <optional>

#include "geo/geometry.h"

class OGRGeometry;

namespace rickyard {

/// Polygons of a geometry, flattened to two dimensions; lines and points of a collection are left out.
MultiPolygon polygons_of(const OGRGeometry& geometry);

struct OgrDeleter {
  void operator()(OGRGeometry* geometry) const;
};
using OgrGeometryPtr = std::unique_ptr<OGRGeometry, OgrDeleter>;

/// A multipolygon with closed rings.
OgrGeometryPtr to_ogr(const MultiPolygon& shape);

}  // namespace rickyard
