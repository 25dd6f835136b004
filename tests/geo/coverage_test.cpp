// Coverage fractions against an independent exact clip, sums, and the shapes that break scan-line methods.
#include "geo/coverage.h"

#include <doctest/doctest.h>

#include <chrono>
#include <cmath>
#include <map>
#include <numbers>
#include <random>

#include "scene.h"

using namespace rickyard;
using rickyard::test::rectangle;

namespace {

GridDefinition grid_of(int columns, int rows, double west = 0, double north = 0, double width = 1, double height = 1) {
  GridDefinition grid;
  grid.columns = columns;
  grid.rows = rows;
  grid.west = west;
  grid.north = north;
  grid.cell_width = width;
  grid.cell_height = height;
  return grid;
}

double at(const std::vector<CoverageRun>& runs, int row, int column) {
  for (const auto& run : runs)
    if (run.row == row && column >= run.column && column < run.column + run.count) return run.fraction;
  return 0;
}

// The independent way: Sutherland-Hodgman against one half plane after another, then the shoelace formula, cell by cell.
template <typename Inside, typename Cross>
Ring clip(const Ring& ring, Inside inside, Cross cross) {
  Ring out;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Point &p = ring[i], &q = ring[(i + 1) % ring.size()];
    if (inside(p)) out.push_back(p);
    if (inside(p) != inside(q)) out.push_back(cross(p, q));
  }
  return out;
}

double clipped_area(Ring ring, double west, double south, double east, double north) {
  const auto at_x = [](double x) { return [x](Point p, Point q) { return Point{x, p.y + (q.y - p.y) * (x - p.x) / (q.x - p.x)}; }; };
  const auto at_y = [](double y) { return [y](Point p, Point q) { return Point{p.x + (q.x - p.x) * (y - p.y) / (q.y - p.y), y}; }; };
  ring = clip(
      ring, [=](Point p) { return p.x >= west; }, at_x(west));
  ring = clip(
      ring, [=](Point p) { return p.x <= east; }, at_x(east));
  ring = clip(
      ring, [=](Point p) { return p.y >= south; }, at_y(south));
  ring = clip(
      ring, [=](Point p) { return p.y <= north; }, at_y(north));
  double twice = 0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Point &p = ring[i], &q = ring[(i + 1) % ring.size()];
    twice += (p.x - west) * (q.y - south) - (q.x - west) * (p.y - south);
  }
  return std::abs(twice) / 2;
}

double clipped_fraction(const MultiPolygon& shape, const GridDefinition& grid, int row, int column) {
  const double west = grid.x_of(column), east = grid.x_of(column + 1), north = grid.y_of(row), south = grid.y_of(row + 1);
  double area = 0;
  for (const auto& polygon : shape) {
    area += clipped_area(polygon.outer, west, south, east, north);
    for (const auto& hole : polygon.holes) area -= clipped_area(hole, west, south, east, north);
  }
  return area / (grid.cell_width * grid.cell_height);
}

// Largest difference between the two ways over all cells.
double worst(const MultiPolygon& shape, const GridDefinition& grid) {
  const auto runs = cell_coverage(shape, grid);
  std::vector<double> dense(static_cast<std::size_t>(grid.rows) * static_cast<std::size_t>(grid.columns), 0);
  for (const auto& run : runs)
    for (int c = 0; c < run.count; ++c) dense[static_cast<std::size_t>(run.row * grid.columns + run.column + c)] += run.fraction;
  double difference = 0;
  for (int r = 0; r < grid.rows; ++r)
    for (int c = 0; c < grid.columns; ++c)
      difference =
          std::max(difference, std::abs(dense[static_cast<std::size_t>(r * grid.columns + c)] - clipped_fraction(shape, grid, r, c)));
  return difference;
}

// A star-shaped ring, simple by construction.
Ring star(std::mt19937& engine, double x, double y, double smallest, double largest, int corners) {
  std::uniform_real_distribution<double> radius(smallest, largest), jitter(0.05, 0.95);
  Ring ring;
  for (int k = 0; k < corners; ++k) {
    const double angle = 2 * std::numbers::pi * (k + jitter(engine)) / corners, r = radius(engine);
    ring.push_back({x + r * std::cos(angle), y + r * std::sin(angle)});
  }
  return ring;
}

}  // namespace

TEST_CASE("a rectangle on cell borders covers whole cells and nothing else") {
  const auto runs = cell_coverage({{rectangle(2, -4, 5, -1), {}}}, grid_of(8, 6));
  CHECK(covered_cells(runs) == 9);
  for (const auto& run : runs) CHECK(run.fraction == 1);
  CHECK(at(runs, 1, 2) == 1);
  CHECK(at(runs, 0, 2) == 0);
  CHECK(at(runs, 1, 5) == 0);
}

TEST_CASE("a horizontal edge inside a row gives one long run of partial coverage") {
  const auto runs = cell_coverage({{rectangle(1, -3, 999, -1.25), {}}}, grid_of(1000, 4));
  CHECK(at(runs, 1, 1) == doctest::Approx(0.75).epsilon(1e-14));
  CHECK(at(runs, 1, 500) == doctest::Approx(0.75).epsilon(1e-14));
  CHECK(at(runs, 1, 999) == 0);
  CHECK(at(runs, 2, 500) == 1);
  CHECK(runs.size() < 8);
}

TEST_CASE("a triangle through one cell, by hand") {
  // Corners (0.25, -0.25), (0.75, -0.25), (0.25, -0.75): area 0.125.
  const auto runs = cell_coverage({{{{0.25, -0.25}, {0.75, -0.25}, {0.25, -0.75}}, {}}}, grid_of(1, 1));
  REQUIRE(runs.size() == 1);
  CHECK(runs[0].fraction == doctest::Approx(0.125).epsilon(1e-15));
}

TEST_CASE("holes, edges that touch cell lines, corners on cell corners, slivers") {
  const GridDefinition grid = grid_of(12, 10);
  CHECK(worst({{rectangle(1, -9, 11, -1), {rectangle(3, -6, 7.5, -2.25)}}}, grid) < 1e-9);
  CHECK(worst({{rectangle(1, -9, 11, -1), {rectangle(3, -6, 6, -3), rectangle(7, -8, 10, -4)}}}, grid) < 1e-9);
  CHECK(worst({{{{2, -2}, {8, -8}, {2, -8}}, {}}}, grid) < 1e-9);                               // diagonal through cell corners
  CHECK(worst({{{{1, -5}, {6, -1}, {11, -5}, {6, -9}}, {}}}, grid) < 1e-9);                     // corners on lines
  CHECK(worst({{{{0.5, -0.5}, {11.5, -0.5000001}, {11.5, -0.5}}, {}}}, grid) < 1e-9);           // near-horizontal sliver
  CHECK(worst({{{{5, -0.5}, {5.0000001, -9.5}, {5, -9.5}}, {}}}, grid) < 1e-9);                 // near-vertical sliver on a line
  CHECK(worst({{rectangle(1, -3, 4, -1), {}}, {rectangle(4, -3, 6.5, -1), {}}}, grid) < 1e-9);  // parts that share an edge
  CHECK(worst({{rectangle(1, -3, 4, -1), {}}, {rectangle(4, -5, 6.5, -3), {}}}, grid) < 1e-9);  // parts that share a corner
}

TEST_CASE("polygons partly or wholly outside the grid keep what is inside") {
  const GridDefinition grid = grid_of(6, 5);
  for (const auto& shape : {rectangle(-3.5, -2.5, 2.5, 1.5), rectangle(4.5, -7, 9, -3.5), rectangle(-5, -9, 20, 9),
                            rectangle(-3, -2, -1, -1), rectangle(7, -2, 9, -1), rectangle(1, 1, 3, 2),
                            Ring{{-4, -2}, {3, 4}, {10, -2}, {3, -9}}, Ring{{-2, -2.5}, {8, -2.25}, {8, -2.75}}})
    CHECK(worst({{shape, {}}}, grid) < 1e-9);
  CHECK(cell_coverage({{rectangle(7, -2, 9, -1), {}}}, grid).empty());
}

TEST_CASE("random polygons with holes agree with cell-by-cell clipping to 1e-9, in either direction of drawing") {
  std::mt19937 engine(20240611);
  const GridDefinition grid = grid_of(37, 23, 412345.5, 6123456.25, 250, 400);
  for (int trial = 0; trial < 60; ++trial) {
    std::uniform_real_distribution<double> x(grid.x_of(5), grid.x_of(32)), y(grid.y_of(18), grid.y_of(5));
    const double cx = x(engine), cy = y(engine);
    Polygon polygon{star(engine, cx, cy, 1200, 4500, 5 + trial % 40), {star(engine, cx, cy, 200, 1100, 4 + trial % 9)}};
    const double forwards = worst({polygon}, grid);
    if (trial % 2 == 1) std::reverse(polygon.outer.begin(), polygon.outer.end());
    if (trial % 3 == 1) std::reverse(polygon.holes[0].begin(), polygon.holes[0].end());
    CHECK(forwards < 1e-9);
    CHECK(worst({polygon}, grid) < 1e-9);
  }
}

TEST_CASE("the covered area adds up to the polygon's, and neighbours to one") {
  std::mt19937 engine(7);
  const GridDefinition grid = grid_of(400, 300, 0, 0, 0.5, 0.25);
  for (int trial = 0; trial < 20; ++trial) {
    const MultiPolygon shape = {{star(engine, 100, -37, 8, 36, 400), {}}};
    CHECK(covered_cells(cell_coverage(shape, grid)) * 0.125 == doctest::Approx(planar_area(shape)).epsilon(1e-12));
    // The rest of the grid: the same ring as a hole.
    const MultiPolygon rest = {{rectangle(0, -75, 200, 0), {shape[0].outer}}};
    CHECK(covered_cells(cell_coverage(shape, grid)) + covered_cells(cell_coverage(rest, grid)) ==
          doctest::Approx(400.0 * 300).epsilon(1e-12));
  }
}

TEST_CASE("runs are ordered, disjoint, and fractions lie in (0, 1]") {
  std::mt19937 engine(11);
  const auto runs = cell_coverage({{star(engine, 50, -50, 10, 48, 900), {}}}, grid_of(100, 100));
  REQUIRE(runs.size() > 100);
  for (std::size_t i = 0; i < runs.size(); ++i) {
    CHECK(runs[i].fraction > 0);
    CHECK(runs[i].fraction <= 1);
    if (i == 0) continue;
    const bool ordered =
        runs[i - 1].row < runs[i].row || (runs[i - 1].row == runs[i].row && runs[i - 1].column + runs[i - 1].count <= runs[i].column);
    CHECK(ordered);
  }
}

TEST_CASE("large coordinates and many cells keep the digits") {
  // 10,000 x 10,000 cells of 10 m far from the origin; the plain sum is the shoelace area.
  std::mt19937 engine(3);
  const GridDefinition grid = grid_of(10000, 10000, 3.9e6, 3.7e6, 10, 10);
  const MultiPolygon shape = {{star(engine, 3.95e6, 3.65e6, 10000, 45000, 2000), {}}};
  CHECK(covered_cells(cell_coverage(shape, grid)) * 100 == doctest::Approx(planar_area(shape)).epsilon(1e-11));
}
