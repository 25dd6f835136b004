#include "geo/crs.h"

#include <ogr_spatialref.h>
#include <proj.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "geo/gdal_words.h"

namespace rickyard {
namespace {

constexpr int kMostRounds = 30;  // each leaves at most 0.6 of an edge

OGRSpatialReference system_of(const std::string& wkt) {
  OGRSpatialReference system;
  system.importFromWkt(wkt.c_str());
  system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  return system;
}

double distance(const Point& a, const Point& b) { return std::hypot(a.x - b.x, a.y - b.y); }

// Where an edge is probed and cut: 0.4 of the way from its smaller end, so that neighbours that share the edge cut it alike.
Point cut(const Point& a, const Point& b, bool from_a) {
  const Point &low = from_a ? a : b, &high = from_a ? b : a;
  return {low.x + 0.4 * (high.x - low.x), low.y + 0.4 * (high.y - low.y)};
}
bool smaller(const Point& a, const Point& b) { return a.x < b.x || (a.x == b.x && a.y < b.y); }

// A vertex of a ring being bent: where it lies, its image, and whether the edge that starts here still has to be tested.
struct Bending {
  Point at, image;
  bool open = true;
};

}  // namespace

std::string wkt_of(const OGRSpatialReference* system) {
  if (system == nullptr || system->IsEmpty()) return "";
  // GeoPackage writes these names where nobody said what the system is.
  const std::string name = system->GetName() == nullptr ? "" : system->GetName();
  if (name == "Undefined geographic SRS" || name == "Undefined Cartesian SRS") return "";
  char* text = nullptr;
  const char* options[] = {"FORMAT=WKT2_2019", nullptr};
  system->exportToWkt(&text, options);
  std::string out = text == nullptr ? "" : text;
  CPLFree(text);
  return out;
}

std::optional<std::string> crs_from_text(const std::string& text) {
  const GdalWords quiet;
  OGRSpatialReference system;
  // No files and no network: a system is named, not fetched.
  const char* limits[] = {"ALLOW_NETWORK_ACCESS=NO", "ALLOW_FILE_ACCESS=NO", nullptr};
  if (text.empty() || system.SetFromUserInput(text.c_str(), limits) != OGRERR_NONE) return std::nullopt;
  return wkt_of(&system);
}

const std::string& wgs84_wkt() {
  static const std::string wkt = crs_from_text("EPSG:4326").value();
  return wkt;
}

bool same_crs(const std::string& wkt_a, const std::string& wkt_b) {
  if (wkt_a == wkt_b) return true;
  const GdalWords quiet;
  const auto a = system_of(wkt_a), b = system_of(wkt_b);
  const char* options[] = {"IGNORE_DATA_AXIS_TO_SRS_AXIS_MAPPING=YES", "CRITERION=EQUIVALENT_EXCEPT_AXIS_ORDER_GEOGCRS", nullptr};
  return a.IsSame(&b, options) != 0;
}

std::string crs_name(const std::string& wkt) {
  const GdalWords quiet;
  const auto system = system_of(wkt);
  const char *authority = system.GetAuthorityName(nullptr), *code = system.GetAuthorityCode(nullptr);
  if (authority != nullptr && code != nullptr) return std::string(authority) + ":" + code;
  const char* name = system.GetName();
  return name == nullptr ? "unnamed" : name;
}

CrsKind crs_kind(const std::string& wkt) {
  const GdalWords quiet;
  const auto system = system_of(wkt);
  CrsKind kind;
  kind.geographic = system.IsGeographic() != 0;
  kind.usable = kind.geographic || system.IsProjected() != 0;
  if (!kind.geographic) kind.metres_per_unit = system.GetLinearUnits();
  return kind;
}

namespace {

struct ProjDeleter {
  void operator()(PJ_CONTEXT* context) const { proj_context_destroy(context); }
  void operator()(PJ* object) const { proj_destroy(object); }
  void operator()(PJ_OPERATION_FACTORY_CONTEXT* factory) const { proj_operation_factory_context_destroy(factory); }
  void operator()(PJ_OBJ_LIST* list) const { proj_list_destroy(list); }
};
template <typename T>
using ProjPtr = std::unique_ptr<T, ProjDeleter>;

// The first operation that can run, in PROJ's order of merit; ballpark ones only where asked for.
ProjPtr<PJ> choose(PJ_CONTEXT* context, const PJ* from, const PJ* to, const std::optional<Box>& lonlat, PROJ_SPATIAL_CRITERION criterion,
                   bool ballpark) {
  const ProjPtr<PJ_OPERATION_FACTORY_CONTEXT> factory(proj_create_operation_factory_context(context, nullptr));
  if (lonlat)
    proj_operation_factory_context_set_area_of_interest(context, factory.get(), lonlat->west, lonlat->south, lonlat->east, lonlat->north);
  proj_operation_factory_context_set_spatial_criterion(context, factory.get(), criterion);
  proj_operation_factory_context_set_grid_availability_use(context, factory.get(),
                                                           PROJ_GRID_AVAILABILITY_DISCARD_OPERATION_IF_MISSING_GRID);
  const ProjPtr<PJ_OBJ_LIST> list(proj_create_operations(context, from, to, factory.get()));
  const int n = list ? proj_list_get_count(list.get()) : 0;
  for (int i = 0; i < n; ++i) {
    const ProjPtr<PJ> operation(proj_list_get(context, list.get(), i));
    if (!operation || proj_coordoperation_is_instantiable(context, operation.get()) == 0) continue;
    if (proj_coordoperation_has_ballpark_transformation(context, operation.get()) != 0 && !ballpark) continue;
    ProjPtr<PJ> usual(proj_normalize_for_visualization(context, operation.get()));
    if (usual) return usual;
  }
  return nullptr;
}

}  // namespace

struct Transform::Handle {
  ProjPtr<PJ_CONTEXT> context;
  ProjPtr<PJ> operation;
};

Transform::Transform(const std::string& from_wkt, const std::string& to_wkt, const std::optional<Box>& where)
    : handle_(std::make_shared<Handle>()), identity_(same_crs(from_wkt, to_wkt)) {
  if (identity_) return;
  std::optional<Box> lonlat;
  if (where) {
    // Four corners and the middles of the sides are enough to say where on earth the box lies.
    const Transform roughly(from_wkt, wgs84_wkt());
    Box area{HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (const double u : {0.0, 0.5, 1.0})
      for (const double v : {0.0, 0.5, 1.0}) {
        const Point p = roughly({where->west + u * (where->east - where->west), where->south + v * (where->north - where->south)});
        if (!std::isfinite(p.x)) continue;
        area = {std::min(area.west, p.x), std::min(area.south, p.y), std::max(area.east, p.x), std::max(area.north, p.y)};
      }
    if (area.west <= area.east && area.west >= -180 && area.east <= 180) lonlat = area;
  }
  handle_->context.reset(proj_context_create());
  PJ_CONTEXT* context = handle_->context.get();
  proj_log_level(context, PJ_LOG_NONE);
  proj_context_set_enable_network(context, 0);
  const ProjPtr<PJ> from(proj_create(context, from_wkt.c_str())), to(proj_create(context, to_wkt.c_str()));
  if (!from || !to) throw std::runtime_error("PROJ does not know one of the systems");
  auto& operation = handle_->operation;
  operation = choose(context, from.get(), to.get(), lonlat, PROJ_SPATIAL_CRITERION_STRICT_CONTAINMENT, false);
  if (!operation) operation = choose(context, from.get(), to.get(), lonlat, PROJ_SPATIAL_CRITERION_PARTIAL_INTERSECTION, false);
  if (!operation) {
    operation = choose(context, from.get(), to.get(), lonlat, PROJ_SPATIAL_CRITERION_PARTIAL_INTERSECTION, true);
    ballpark_ = true;
  }
  if (!operation) throw std::runtime_error("PROJ knows no way from " + crs_name(from_wkt) + " to " + crs_name(to_wkt));
}

Transform::Transform() = default;

Transform Transform::reversed() const {
  Transform back;
  back.handle_ = handle_;
  back.direction_ = -direction_;
  back.identity_ = identity_;
  back.ballpark_ = ballpark_;
  return back;
}

Transform::~Transform() = default;
Transform::Transform(Transform&&) noexcept = default;
Transform& Transform::operator=(Transform&&) noexcept = default;

bool Transform::apply(std::span<Point> points) const {
  if (identity_ || points.empty()) return true;
  proj_trans_generic(handle_->operation.get(), direction_ > 0 ? PJ_FWD : PJ_INV, &points[0].x, sizeof(Point), points.size(), &points[0].y,
                     sizeof(Point), points.size(), nullptr, 0, 0, nullptr, 0, 0);
  bool all = true;
  for (Point& p : points) {
    if (std::isfinite(p.x) && std::isfinite(p.y)) continue;
    p = {HUGE_VAL, HUGE_VAL};
    all = false;
  }
  return all;
}

Point Transform::operator()(Point p) const {
  apply({&p, 1});
  return p;
}

std::optional<Ring> bend_ring(const Ring& ring, const Transform& transform, double tolerance) {
  if (transform.identity()) return ring;
  std::vector<Bending> vertices;
  Ring images = ring;
  if (!transform.apply(images)) return std::nullopt;
  for (std::size_t i = 0; i < ring.size(); ++i) vertices.push_back({ring[i], images[i], true});
  for (int round = 0; round < kMostRounds; ++round) {
    std::vector<Point> probes;
    std::vector<std::size_t> owner;
    for (std::size_t i = 0; i < vertices.size(); ++i) {
      if (!vertices[i].open) continue;
      const Point &a = vertices[i].at, &b = vertices[(i + 1) % vertices.size()].at;
      probes.push_back(cut(a, b, smaller(a, b)));
      owner.push_back(i);
    }
    if (probes.empty()) break;
    auto images_of_probes = probes;
    if (!transform.apply(images_of_probes)) return std::nullopt;
    std::vector<Bending> next;
    next.reserve(vertices.size() + probes.size());
    std::size_t k = 0;
    for (std::size_t i = 0; i < vertices.size(); ++i) {
      next.push_back(vertices[i]);
      if (k >= owner.size() || owner[k] != i) continue;
      const Bending &from = vertices[i], &to = vertices[(i + 1) % vertices.size()];
      if (distance(cut(from.image, to.image, smaller(from.at, to.at)), images_of_probes[k]) > tolerance)
        next.push_back({probes[k], images_of_probes[k], true});
      else
        next.back().open = false;
      ++k;
    }
    vertices = std::move(next);
  }
  Ring out;
  out.reserve(vertices.size());
  for (const auto& v : vertices) out.push_back(v.image);
  return out;
}

std::optional<MultiPolygon> bend(const MultiPolygon& shape, const Transform& transform, double tolerance) {
  MultiPolygon out;
  for (const auto& polygon : shape) {
    auto outer = bend_ring(polygon.outer, transform, tolerance);
    if (!outer) return std::nullopt;
    Polygon bent{std::move(*outer), {}};
    for (const auto& hole : polygon.holes) {
      auto ring = bend_ring(hole, transform, tolerance);
      if (!ring) return std::nullopt;
      bent.holes.push_back(std::move(*ring));
    }
    out.push_back(std::move(bent));
  }
  return out;
}

double bend_tolerance(const std::string& to_wkt) {
  const auto kind = crs_kind(to_wkt);
  return kind.geographic ? 1e-8 : 0.001 / kind.metres_per_unit;
}

}  // namespace rickyard
