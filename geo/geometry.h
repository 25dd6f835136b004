#pragma once
// Plain polygons, so that coverage and areas need no geometry library.
#include <vector>

namespace rickyard {

/// x east (or longitude in degrees), y north (or latitude in degrees).
struct Point {
  double x = 0, y = 0;
};

/// Vertices in either direction; the closing edge runs from the last to the first, and a repeated first vertex is harmless.
using Ring = std::vector<Point>;

/// Holes lie inside the outer ring and do not overlap each other.
struct Polygon {
  Ring outer;
  std::vector<Ring> holes;
};

/// Parts do not overlap.
using MultiPolygon = std::vector<Polygon>;

}  // namespace rickyard
