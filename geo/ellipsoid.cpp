#include "geo/ellipsoid.h"

#include <GeographicLib/Geodesic.hpp>
#include <GeographicLib/PolygonArea.hpp>
#include <algorithm>
#include <cmath>
#include <numbers>

namespace rickyard {
namespace {

constexpr double kMajor = 6378137.0, kFlattening = 1 / 298.257223563;  // WGS84
constexpr double kRadian = std::numbers::pi / 180;
constexpr double kSagitta = 0.002;  // m

void measure(std::span<const Point> lonlat, double& perimeter, double& area) {
  GeographicLib::PolygonArea polygon(GeographicLib::Geodesic::WGS84());
  for (const auto& p : lonlat) polygon.AddPoint(p.y, p.x);
  polygon.Compute(false, true, perimeter, area);
}

// Cuts an edge that is straight in longitude and latitude. A geodesic leaves the chord by about
// (a sin(lat) dlon / 8) sqrt(4 dlat^2 + cos^2(lat) dlon^2): the second-order term of the geodesic equations.
int cuts_of(const Point& p, const Point& q) {
  const double dlon = (q.x - p.x) * kRadian, dlat = (q.y - p.y) * kRadian;
  const double lat = std::max(std::abs(p.y), std::abs(q.y)) * kRadian;
  const double sagitta =
      kMajor * std::sin(lat) * std::abs(dlon) / 8 * std::sqrt(4 * dlat * dlat + std::cos(lat) * std::cos(lat) * dlon * dlon);
  return std::clamp(static_cast<int>(std::ceil(std::sqrt(sagitta / kSagitta))), 1, 100000);
}

double ring_area_m2(const Ring& ring) {
  Ring dense;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Point &p = ring[i], &q = ring[i + 1 == ring.size() ? 0 : i + 1];
    const int n = cuts_of(p, q);
    for (int k = 0; k < n; ++k) dense.push_back({p.x + (q.x - p.x) * k / n, p.y + (q.y - p.y) * k / n});
  }
  return geodesic_area_m2(dense);
}

}  // namespace

double geodesic_area_m2(std::span<const Point> lonlat) {
  double perimeter = 0, area = 0;
  measure(lonlat, perimeter, area);
  return std::abs(area);
}

double geodesic_perimeter_m(std::span<const Point> lonlat) {
  double perimeter = 0, area = 0;
  measure(lonlat, perimeter, area);
  return perimeter;
}

double lonlat_area_m2(const MultiPolygon& lonlat) {
  double area = 0;
  for (const auto& polygon : lonlat) {
    area += ring_area_m2(polygon.outer);
    for (const auto& hole : polygon.holes) area -= ring_area_m2(hole);
  }
  return area;
}

double parallel_cell_area_m2(double width_deg, double south_deg, double north_deg) {
  const double e2 = kFlattening * (2 - kFlattening), e = std::sqrt(e2), minor = kMajor * (1 - kFlattening);
  const auto z = [&](double lat_deg) {
    const double s = std::sin(lat_deg * kRadian);
    return minor * minor / 2 * (s / (1 - e2 * s * s) + std::log((1 + e * s) / (1 - e * s)) / (2 * e));
  };
  return width_deg * kRadian * (z(north_deg) - z(south_deg));
}

}  // namespace rickyard
