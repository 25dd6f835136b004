// Published check values of projections and areas (check-values section 10).
#include <doctest/doctest.h>

#include <cmath>

#include "geo/crs.h"
#include "geo/ellipsoid.h"
#include "geo/land_units.h"

using namespace rickyard;

TEST_CASE("EPSG:3035 through PROJ: IOGP Guidance Note 7-2, Lambert azimuthal equal area") {
  const Transform transform(wgs84_wkt(), crs_from_text("EPSG:3035").value());
  struct Row {
    double lat, lon, east, north, tol_m;
  };
  // ETRS89 and WGS84 are taken as one by PROJ here, as in the guidance note's example (ETRS89).
  for (const Row& row : {Row{50, 5, 3962799.45, 2999718.85, 0.01}, Row{52, 10, 4321000, 3210000, 1e-6},
                         Row{55.5, -3, 3504210.6037, 3673502.8389, 1e-3}, Row{49, 2.5, 3773144.6755, 2904246.3369, 1e-3}}) {
    const Point p = transform({row.lon, row.lat});
    CHECK(std::abs(p.x - row.east) < row.tol_m);
    CHECK(std::abs(p.y - row.north) < row.tol_m);
  }
}

TEST_CASE("geodesic areas on WGS84: GeographicLib's published examples") {
  struct Row {
    Ring lonlat;
    double area_m2, tol_m2, perimeter_m, perimeter_tol_m;
  };
  for (const Row& row :
       {Row{{{0, 89}, {90, 89}, {180, 89}, {270, 89}}, 24952305678.0, 1, 631819.8745, 1e-3},
        Row{{{-1, 0}, {0, -1}, {1, 0}, {0, 1}}, 24619419146.0, 1, 627598.2731, 1e-3},
        Row{{{0, 90}, {0, 0}, {90, 0}}, 63758202715511, 1, 30022685, 1}, Row{{{1, 2}, {2, 1}, {3, 3}}, 18454562325.45119, 1e-4, 0, 1e12}}) {
    CHECK(std::abs(geodesic_area_m2(row.lonlat) - row.area_m2) < row.tol_m2);
    CHECK(std::abs(geodesic_perimeter_m(row.lonlat) - row.perimeter_m) < row.perimeter_tol_m);
  }
}

TEST_CASE("cells between parallels: closed form (values computed from the formula, 1e-4 km2)") {
  struct Row {
    double south, one_degree_km2, quarter_degree_km2;
  };
  for (const Row& row :
       {Row{0, 12308.4639, 769.3146}, Row{30, 10642.3934, 667.6565}, Row{45, 8686.4950, 546.4688}, Row{50, 7892.2189, 497.1326},
        Row{52, 7556.7359, 476.2797}, Row{55, 7035.6756, 443.8768}, Row{60, 6123.1409, 387.0907}}) {
    CHECK(std::abs(parallel_cell_area_m2(1, row.south, row.south + 1) / 1e6 - row.one_degree_km2) < 1e-4);
    CHECK(std::abs(parallel_cell_area_m2(0.25, row.south, row.south + 0.25) / 1e6 - row.quarter_degree_km2) < 1e-4);
  }
  // The whole earth: 510 065 621 724 088.5 m2 (GeographicLib); the closed form is singular only at e = 0.
  CHECK(parallel_cell_area_m2(360, -90, 90) == doctest::Approx(510065621724088.5).epsilon(1e-12));
}

TEST_CASE("a cell of four geodesic corners is too small; edges straight in longitude and latitude are not") {
  const Ring corners = {{0, 50}, {1, 50}, {1, 51}, {0, 51}};
  CHECK(std::abs(geodesic_area_m2(corners) / 1e6 - 7892.0616) < 1e-4);  // the trap
  const double closed = parallel_cell_area_m2(1, 50, 51);
  CHECK(lonlat_area_m2({{corners, {}}}) == doctest::Approx(closed).epsilon(1e-7));
  // A hole is taken off.
  const double hole = lonlat_area_m2({{{{0.25, 50.25}, {0.75, 50.25}, {0.75, 50.5}, {0.25, 50.5}}, {}}});
  CHECK(lonlat_area_m2({{corners, {{{0.25, 50.25}, {0.75, 50.25}, {0.75, 50.5}, {0.25, 50.5}}}}}) ==
        doctest::Approx(closed - hole).epsilon(1e-7));
}

TEST_CASE("projected cells: an equal-area projection gives its own plane areas") {
  GridDefinition grid;
  grid.crs_wkt = crs_from_text("EPSG:3035").value();
  grid.columns = grid.rows = 2;
  grid.west = 3500000;
  grid.north = 3680000;
  grid.cell_width = grid.cell_height = 5000;
  const auto geometry = cell_geometry(grid, {0, 3});
  CHECK(geometry.area_m2[0] == doctest::Approx(25e6).epsilon(1e-7));
  CHECK(geometry.area_m2[1] == doctest::Approx(25e6).epsilon(1e-7));
  // The grid's corner lies near 55.5 N, 3 W (see above).
  CHECK(geometry.place[0].lat_deg == doctest::Approx(55.5).epsilon(0.002));
  CHECK(geometry.place[0].lon_deg == doctest::Approx(-3).epsilon(0.05));
}

TEST_CASE("long edges bend: a straight side on the map is not straight in the grid") {
  const Transform transform(wgs84_wkt(), crs_from_text("EPSG:3035").value());
  const MultiPolygon box = {{{{-8, 50}, {0, 50}, {0, 58}, {-8, 58}}, {}}};
  const auto bent = bend(box, transform, 0.001);
  REQUIRE(bent.has_value());
  CHECK(bent->front().outer.size() > 500);
  // Equal area: the plane area of the bent outline is the true area; unbent corners miss it by 0.32 %.
  const double truth = parallel_cell_area_m2(8, 50, 58);
  double plane = 0, corners_only = 0;
  const auto shoelace = [](const Ring& ring) {
    double twice = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
      const Point &p = ring[i], &q = ring[(i + 1) % ring.size()];
      twice += p.x * q.y - q.x * p.y;
    }
    return std::abs(twice) / 2;
  };
  plane = shoelace(bent->front().outer);
  Ring four = box.front().outer;
  REQUIRE(transform.apply(four));
  corners_only = shoelace(four);
  CHECK(plane == doctest::Approx(truth).epsilon(1e-8));
  CHECK(std::abs(corners_only / truth - 1) > 0.003);
}

TEST_CASE("neighbours cut a shared edge at the same points") {
  const Transform transform(wgs84_wkt(), crs_from_text("EPSG:3035").value());
  const auto one = bend_ring({{0, 50}, {4, 55}, {0, 55}}, transform, 0.001),
             other = bend_ring({{4, 55}, {0, 50}, {4, 50}}, transform, 0.001);
  REQUIRE((one && other));
  std::size_t shared = 0;
  for (const auto& p : *one)
    for (const auto& q : *other) shared += p.x == q.x && p.y == q.y;
  CHECK(shared > 100);
}

TEST_CASE("what is not a reference system is refused, and files are not fetched") {
  CHECK_FALSE(crs_from_text("EPSG:999999").has_value());
  CHECK_FALSE(crs_from_text("").has_value());
  CHECK_FALSE(crs_from_text("https://example.org/crs").has_value());
  CHECK(same_crs(crs_from_text("EPSG:4326").value(), crs_from_text("OGC:CRS84").value()));
  CHECK_FALSE(same_crs(crs_from_text("EPSG:4326").value(), crs_from_text("EPSG:4267").value()));
}
