#include "geo/coverage.h"

#include <algorithm>
#include <cmath>

namespace rickyard {
namespace {

// What the edges inside one cell add: `height` to every cell right of it, `area` to the cell itself.
struct Touch {
  int row, column;
  double area, height;
};

// Sums below this are rounding: heights telescope to about 1e-15 a row.
constexpr double kSnap = 1e-12;

double signed_area(const Ring& ring) {
  if (ring.size() < 3) return 0;
  const Point o = ring.front();  // a near origin keeps the digits of large coordinates
  double twice = 0;
  for (std::size_t i = 1; i + 1 < ring.size(); ++i)
    twice += (ring[i].x - o.x) * (ring[i + 1].y - o.y) - (ring[i + 1].x - o.x) * (ring[i].y - o.y);
  return twice / 2;
}

// Collects touches of edges given in cell units: u in columns from the west edge, v in rows from the north edge.
class Accumulator {
 public:
  explicit Accumulator(const GridDefinition& grid) : grid_(grid) {}

  void add_ring(const Ring& ring, bool hole) {
    const double area = signed_area(ring);
    if (area == 0) return;
    // v runs south, so a ring that is anticlockwise on the map is clockwise here; the sum must come out positive.
    const double sign = ((area > 0) != hole) ? 1.0 : -1.0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
      const Point& p = ring[i];
      const Point& q = ring[i + 1 == ring.size() ? 0 : i + 1];
      add_edge((p.x - grid_.west) / grid_.cell_width, (grid_.north - p.y) / grid_.cell_height, (q.x - grid_.west) / grid_.cell_width,
               (grid_.north - q.y) / grid_.cell_height, sign);
    }
  }

  std::vector<CoverageRun> runs() const;

 private:
  // Cuts the edge at row lines. Edges are taken downwards, so that both directions are cut at the same points.
  void add_edge(double u0, double v0, double u1, double v1, double sign) {
    if (v0 == v1) return;
    if (v0 > v1) {
      std::swap(u0, u1);
      std::swap(v0, v1);
      sign = -sign;
    }
    const double bottom = grid_.rows;
    if (v1 <= 0 || v0 >= bottom) return;
    const double slope = (u1 - u0) / (v1 - v0);
    double v = std::max(v0, 0.0), u = v == v0 ? u0 : u0 + slope * (v - v0);
    const double v_end = std::min(v1, bottom), u_end = v_end == v1 ? u1 : u0 + slope * (v_end - v0);
    for (int row = static_cast<int>(v); row < grid_.rows && v < v_end; ++row) {
      const double v_next = std::min(static_cast<double>(row + 1), v_end);
      const double u_next = v_next == v_end ? u_end : u0 + slope * (v_next - v0);
      add_in_row(row, u, v, u_next, v_next, sign);
      u = u_next;
      v = v_next;
    }
  }

  // One piece inside a row, cut at column lines and at the west and east edges of the grid.
  void add_in_row(int row, double u0, double v0, double u1, double v1, double sign) {
    if (u0 > u1) {  // taken eastwards; the height keeps its sign
      std::swap(u0, u1);
      std::swap(v0, v1);
      sign = -sign;
    }
    const double east = grid_.columns;
    if (u0 >= east) return;
    if (u1 <= 0) return touch(row, 0, 0, 0, (v1 - v0) * sign);
    const double slope = u1 > u0 ? (v1 - v0) / (u1 - u0) : 0;
    double u = u0, v = v0;
    if (u0 < 0) {
      u = 0;
      v = v0 + slope * (0 - u0);
      touch(row, 0, 0, 0, (v - v0) * sign);
    }
    if (u0 == u1) return touch(row, static_cast<int>(u0), u0, u0, (v1 - v0) * sign);
    const double u_end = std::min(u1, east), v_end = u1 <= east ? v1 : v0 + slope * (east - u0);
    for (int column = static_cast<int>(u); column < grid_.columns && u < u_end; ++column) {
      const double u_next = std::min(static_cast<double>(column + 1), u_end);
      const double v_next = u_next == u_end ? v_end : v0 + slope * (u_next - u0);
      touch(row, column, u, u_next, (v_next - v) * sign);
      u = u_next;
      v = v_next;
    }
  }

  void touch(int row, int column, double u0, double u1, double height) {
    if (height != 0) touches_.push_back({row, column, height * (1 - 0.5 * ((u0 - column) + (u1 - column))), height});
  }

  const GridDefinition& grid_;
  std::vector<Touch> touches_;
};

void append(std::vector<CoverageRun>& runs, int row, int column, int count, double fraction) {
  if (count <= 0) return;
  if (std::abs(fraction - 1) < kSnap) fraction = 1;
  if (fraction < kSnap) return;
  runs.push_back({row, column, count, std::min(fraction, 1.0)});
}

std::vector<CoverageRun> Accumulator::runs() const {
  // Counting sort by row keeps the order of edges, so sums are the same on every machine; then by column.
  std::vector<std::size_t> start(static_cast<std::size_t>(grid_.rows) + 1, 0);
  for (const auto& t : touches_) ++start[static_cast<std::size_t>(t.row) + 1];
  for (std::size_t r = 0; r + 1 < start.size(); ++r) start[r + 1] += start[r];
  std::vector<Touch> ordered(touches_.size());
  auto next = start;
  for (const auto& t : touches_) ordered[next[static_cast<std::size_t>(t.row)]++] = t;

  std::vector<CoverageRun> out;
  for (int row = 0; row < grid_.rows; ++row) {
    const auto begin = ordered.begin() + static_cast<std::ptrdiff_t>(start[static_cast<std::size_t>(row)]);
    const auto end = ordered.begin() + static_cast<std::ptrdiff_t>(start[static_cast<std::size_t>(row) + 1]);
    if (begin == end) continue;
    std::stable_sort(begin, end, [](const Touch& a, const Touch& b) { return a.column < b.column; });
    double height = 0;
    int column = begin->column;
    for (auto t = begin; t != end;) {
      append(out, row, column, t->column - column, height);
      column = t->column;
      double area = 0, added = 0;
      for (; t != end && t->column == column; ++t) {
        area += t->area;
        added += t->height;
      }
      append(out, row, column, 1, height + area);
      height += added;
      ++column;
    }
    append(out, row, column, grid_.columns - column, height);
  }
  return out;
}

}  // namespace

bool same_lattice(const GridDefinition& a, const GridDefinition& b) {
  const auto near = [](double p, double q, double cell) { return std::abs(p - q) <= 1e-4 * cell; };
  return a.columns == b.columns && a.rows == b.rows && near(a.west, b.west, a.cell_width) && near(a.north, b.north, a.cell_height) &&
         near(a.x_of(a.columns), b.x_of(b.columns), a.cell_width) && near(a.y_of(a.rows), b.y_of(b.rows), a.cell_height);
}

std::vector<CoverageRun> cell_coverage(const MultiPolygon& shape, const GridDefinition& grid) {
  Accumulator accumulator(grid);
  for (const auto& polygon : shape) {
    accumulator.add_ring(polygon.outer, false);
    for (const auto& hole : polygon.holes) accumulator.add_ring(hole, true);
  }
  return accumulator.runs();
}

double planar_area(const MultiPolygon& shape) {
  double area = 0;
  for (const auto& polygon : shape) {
    area += std::abs(signed_area(polygon.outer));
    for (const auto& hole : polygon.holes) area -= std::abs(signed_area(hole));
  }
  return area;
}

double covered_cells(const std::vector<CoverageRun>& runs) {
  double sum = 0;
  for (const auto& run : runs) sum += run.count * run.fraction;
  return sum;
}

}  // namespace rickyard
