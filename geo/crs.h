#pragma once
// Coordinate reference systems and transformations (GDAL reads them, PROJ transforms). x is always east or longitude, y north or latitude.
#include <memory>
#include <optional>
#include <span>
#include <string>

#include "geo/geometry.h"

class OGRSpatialReference;

namespace rickyard {

/// WKT 2 of a system GDAL hands over; empty for a null or empty one.
std::string wkt_of(const OGRSpatialReference* system);

/// WKT of what a user may write ("EPSG:4326", WKT, PROJ string); nullopt where PROJ does not know it.
std::optional<std::string> crs_from_text(const std::string& text);
/// WKT of EPSG:4326.
const std::string& wgs84_wkt();
bool same_crs(const std::string& wkt_a, const std::string& wkt_b);
/// "EPSG:3035", or the system's name where it has no code.
std::string crs_name(const std::string& wkt);

struct CrsKind {
  bool geographic = false;
  bool usable = false;         // geographic or projected (not local or vertical only)
  double metres_per_unit = 1;  // projected only
};
CrsKind crs_kind(const std::string& wkt);

/// A box in some system's units.
struct Box {
  double west = 0, south = 0, east = 0, north = 0;
};

/// From one system to another; not copyable, one thread at a time. One PROJ operation serves all points: letting the
/// library choose point by point would tear neighbours apart where choices meet.
class Transform {
 public:
  /// where: the box (source system) that matters; the best operation that covers it without a grid that is not installed
  /// is taken. Throws std::runtime_error where there is no way between the systems.
  Transform(const std::string& from_wkt, const std::string& to_wkt, const std::optional<Box>& where = std::nullopt);
  ~Transform();
  Transform(Transform&&) noexcept;
  Transform& operator=(Transform&&) noexcept;

  bool identity() const { return identity_; }
  /// PROJ knows no shift between the two datums and takes them as one: places may be off by a few hundred metres.
  bool ballpark() const { return ballpark_; }
  /// The same operation backwards.
  Transform reversed() const;
  /// In place; false where any point has no image (its coordinates are then infinite).
  bool apply(std::span<Point> points) const;
  Point operator()(Point p) const;

 private:
  struct Handle;
  Transform();
  std::shared_ptr<Handle> handle_;
  int direction_ = 1;
  bool identity_ = false, ballpark_ = false;
};

/// A closed ring carried over with its edges bent: an edge is cut in two (at 0.4 of its length from its smaller end, so
/// that an S-shaped image is not taken for straight and neighbours cut a shared edge alike) until the image of the cut lies within
/// `tolerance` (units of the target system) of the straight line. nullopt where a vertex has no image.
std::optional<Ring> bend_ring(const Ring& ring, const Transform& transform, double tolerance);
std::optional<MultiPolygon> bend(const MultiPolygon& shape, const Transform& transform, double tolerance);
/// 1e-8 degrees or 1 mm.
double bend_tolerance(const std::string& to_wkt);

}  // namespace rickyard
