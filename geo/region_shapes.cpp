#include <fmt/format.h>
#include <ogr_geometry.h>

#include <algorithm>

#include "geo/ellipsoid.h"
#include "geo/gdal_words.h"
#include "geo/ogr_shapes.h"
#include "geo/regions.h"

namespace rickyard {
namespace {

constexpr double kSmallestOverlapHa = 1;

Ring ring_of(const OGRLinearRing& line) {
  Ring ring;
  for (int i = 0; i < line.getNumPoints(); ++i) ring.push_back({line.getX(i), line.getY(i)});
  while (ring.size() > 1 && ring.front().x == ring.back().x && ring.front().y == ring.back().y) ring.pop_back();
  return ring;
}

void collect(const OGRGeometry& geometry, MultiPolygon& out) {
  const auto type = wkbFlatten(geometry.getGeometryType());
  if (type == wkbPolygon) {
    const OGRPolygon* polygon = geometry.toPolygon();
    if (polygon->getExteriorRing() == nullptr) return;
    Polygon plain{ring_of(*polygon->getExteriorRing()), {}};
    if (plain.outer.size() < 3) return;
    for (int i = 0; i < polygon->getNumInteriorRings(); ++i) {
      auto hole = ring_of(*polygon->getInteriorRing(i));
      if (hole.size() >= 3) plain.holes.push_back(std::move(hole));
    }
    out.push_back(std::move(plain));
  } else if (OGR_GT_IsSubClassOf(type, wkbGeometryCollection)) {
    for (const OGRGeometry* part : *geometry.toGeometryCollection()) collect(*part, out);
  }
}

void fill_ring(OGRLinearRing& line, const Ring& ring) {
  line.setNumPoints(static_cast<int>(ring.size()) + 1, FALSE);
  for (std::size_t i = 0; i < ring.size(); ++i) line.setPoint(static_cast<int>(i), ring[i].x, ring[i].y);
  line.setPoint(static_cast<int>(ring.size()), ring.front().x, ring.front().y);
}

}  // namespace

void OgrDeleter::operator()(OGRGeometry* geometry) const { OGRGeometryFactory::destroyGeometry(geometry); }

MultiPolygon polygons_of(const OGRGeometry& geometry) {
  MultiPolygon out;
  if (geometry.hasCurveGeometry() != 0) {
    const OgrGeometryPtr straight(geometry.getLinearGeometry());
    if (straight) collect(*straight, out);
  } else {
    collect(geometry, out);
  }
  return out;
}

OgrGeometryPtr to_ogr(const MultiPolygon& shape) {
  auto many = std::make_unique<OGRMultiPolygon>();
  for (const auto& polygon : shape) {
    auto plain = std::make_unique<OGRPolygon>();
    const auto add = [&](const Ring& ring) {
      auto line = std::make_unique<OGRLinearRing>();
      fill_ring(*line, ring);
      plain->addRingDirectly(line.release());
    };
    add(polygon.outer);
    for (const auto& hole : polygon.holes) add(hole);
    many->addGeometryDirectly(plain.release());
  }
  return OgrGeometryPtr(many.release());
}

std::optional<Box> box_of(const RegionLayer& layer) {
  std::optional<Box> box;
  for (const auto& region : layer.regions)
    for (const auto& polygon : region.shape)
      for (const auto& p : polygon.outer) {
        if (!box) box = Box{p.x, p.y, p.x, p.y};
        box = Box{std::min(box->west, p.x), std::min(box->south, p.y), std::max(box->east, p.x), std::max(box->north, p.y)};
      }
  return box;
}

void report_overlaps(const RegionLayer& layer, const Transform& to_lonlat, InputLog& log) {
  const GdalWords quiet;
  std::vector<OgrGeometryPtr> shapes;
  std::vector<OGREnvelope> boxes;
  for (const auto& region : layer.regions) {
    shapes.push_back(to_ogr(region.shape));
    boxes.emplace_back();
    shapes.back()->getEnvelope(&boxes.back());
  }
  for (std::size_t a = 0; a < shapes.size(); ++a)
    for (std::size_t b = a + 1; b < shapes.size(); ++b) {
      if (boxes[a].Intersects(boxes[b]) == 0) continue;
      const OgrGeometryPtr shared(shapes[a]->Intersection(shapes[b].get()));
      if (!shared || shared->IsEmpty() != 0) continue;
      const auto lonlat = bend(polygons_of(*shared), to_lonlat, bend_tolerance(wgs84_wkt()));
      if (!lonlat) continue;
      const double ha = lonlat_area_m2(*lonlat) / kSquareMetresPerHectare;
      if (ha < kSmallestOverlapHa) continue;
      log.warning(layer.shown, "",
                  fmt::format("regions \"{}\" and \"{}\" overlap by {:.0f} ha", layer.regions[a].id, layer.regions[b].id, ha),
                  "the land counts for both; redraw the border if it should not");
    }
}

}  // namespace rickyard
