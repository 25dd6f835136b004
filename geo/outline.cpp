#include "geo/outline.h"

#include <ogr_api.h>
#include <ogr_geometry.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "geo/gdal_words.h"
#include "geo/ogr_shapes.h"

namespace rickyard {
namespace {

constexpr double kMetresPerDegree = 111195;  // sphere of 6371.0 km

void stretch(MultiPolygon& shape, double factor) {
  for (auto& polygon : shape) {
    for (auto& p : polygon.outer) p.x *= factor;
    for (auto& hole : polygon.holes)
      for (auto& p : hole) p.x *= factor;
  }
}

}  // namespace

std::string outline_geojson(const MultiPolygon& lonlat, double tolerance_m) {
  double south = 90, north = -90;
  for (const auto& polygon : lonlat)
    for (const auto& p : polygon.outer) {
      south = std::min(south, p.y);
      north = std::max(north, p.y);
    }
  const double squeeze = std::max(0.01, std::cos((south + north) / 2 * std::numbers::pi / 180));
  const GdalWords quiet;
  MultiPolygon plane = lonlat;
  stretch(plane, squeeze);
  const OgrGeometryPtr full = to_ogr(plane);
  const OgrGeometryPtr simple(full->SimplifyPreserveTopology(tolerance_m / kMetresPerDegree));
  MultiPolygon kept = simple ? polygons_of(*simple) : plane;
  if (kept.empty()) kept = plane;
  stretch(kept, 1 / squeeze);
  const OgrGeometryPtr out = to_ogr(kept);
  char* options[] = {const_cast<char*>("COORDINATE_PRECISION=5"), const_cast<char*>("RFC7946=YES"), nullptr};
  char* text = OGR_G_ExportToJsonEx(OGRGeometry::ToHandle(out.get()), options);
  std::string json = text == nullptr ? "" : text;
  CPLFree(text);
  return json;
}

}  // namespace rickyard
