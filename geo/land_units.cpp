#include "geo/land_units.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "geo/crs.h"
#include "geo/ellipsoid.h"

namespace rickyard {
namespace {

constexpr int kSegments = 8;  // of each side of a projected cell

Point shifted(Point p, double by) { return {p.x + by, p.y}; }

MultiPolygon shifted(const MultiPolygon& shape, double by) {
  MultiPolygon out = shape;
  for (auto& polygon : out) {
    for (auto& p : polygon.outer) p = shifted(p, by);
    for (auto& hole : polygon.holes)
      for (auto& p : hole) p = shifted(p, by);
  }
  return out;
}

double normal_longitude(double lon) { return lon - 360 * std::floor((lon + 180) / 360); }

// Outline of a cell, counter-clockwise from the south-west corner, then its centre.
std::vector<Point> outline_and_centre(const GridDefinition& grid, int row, int column) {
  const double west = grid.x_of(column), east = grid.x_of(column + 1), north = grid.y_of(row), south = grid.y_of(row + 1);
  std::vector<Point> points;
  const std::array<Point, 4> corners = {{{west, south}, {east, south}, {east, north}, {west, north}}};
  for (std::size_t side = 0; side < 4; ++side) {
    const Point &a = corners[side], &b = corners[(side + 1) % 4];
    for (int k = 0; k < kSegments; ++k) points.push_back({a.x + (b.x - a.x) * k / kSegments, a.y + (b.y - a.y) * k / kSegments});
  }
  points.push_back({(west + east) / 2, (south + north) / 2});
  return points;
}

// Share of a region with weather and soil, given the hectares it covers inside the grid.
struct RegionTally {
  double covered_ha = 0, valid_ha = 0;
};

std::string percent(double share) { return fmt::format("{:.2f} %", std::floor(share * 1e4 + 1e-6) / 100); }

void judge(const RegionOnGrid& placed, double valid_share, double minimum, const std::string& path, InputLog& log) {
  const std::string place = path + ": region \"" + placed.region.id + "\"";
  if (placed.inside_share <= 0)
    return log.error(place, "", "lies outside the weather rasters", "give rasters that cover it, or take the region out");
  if (valid_share < minimum)
    log.error(place, percent(valid_share),
              fmt::format("too little of its area has weather and soil (at least {:.0f} % is needed)", minimum * 100),
              "give rasters that cover it, fill their gaps, or take the region out");
  else if (valid_share < 1 - 1e-9)
    log.warning(place, percent(valid_share), "only this part of its area has weather and soil", "the rest is left out of the forecast");
}

}  // namespace

RegionOnGrid place_region(Region region, const MultiPolygon& on_grid, const GridDefinition& grid) {
  RegionOnGrid out{std::move(region), {}, 0};
  const double whole = planar_area(on_grid);
  for (const double turn : {0.0, 360.0, -360.0}) {
    if (turn != 0 && !grid.geographic) break;
    const auto runs = cell_coverage(turn == 0 ? on_grid : shifted(on_grid, turn), grid);
    out.inside_share += covered_cells(runs) * grid.cell_width * grid.cell_height / whole;
    out.runs.insert(out.runs.end(), runs.begin(), runs.end());
  }
  out.inside_share = std::min(out.inside_share, 1.0);
  if (out.inside_share > 1 - 1e-9) out.inside_share = 1;
  std::sort(out.runs.begin(), out.runs.end(),
            [](const CoverageRun& a, const CoverageRun& b) { return a.row != b.row ? a.row < b.row : a.column < b.column; });
  return out;
}

CellList cells_of(const std::vector<RegionOnGrid>& regions, const GridDefinition& grid) {
  CellList cells;
  for (const auto& region : regions)
    for (const auto& run : region.runs)
      for (int c = 0; c < run.count; ++c) cells.push_back(run.row * grid.columns + run.column + c);
  std::sort(cells.begin(), cells.end());
  cells.erase(std::unique(cells.begin(), cells.end()), cells.end());
  return cells;
}

CellGeometry cell_geometry(const GridDefinition& grid, const CellList& cells) {
  CellGeometry out;
  const Transform to_lonlat(grid.crs_wkt, wgs84_wkt());
  for (int cell : cells) {
    const int row = cell / grid.columns, column = cell % grid.columns;
    auto points = outline_and_centre(grid, row, column);
    if (!grid.geographic || !to_lonlat.identity()) to_lonlat.apply(points);
    const Point centre = points.back();
    points.pop_back();
    WeatherCell place{normal_longitude(centre.x), centre.y, 0, 0, 0};
    double south = 90, north = -90, west = 0, east = 0;
    for (const auto& p : points) {
      south = std::min(south, p.y);
      north = std::max(north, p.y);
      const double x = normal_longitude(p.x - centre.x);  // so that a cell on the date line keeps its width
      west = std::min(west, x);
      east = std::max(east, x);
    }
    place.width_deg = east - west;
    place.height_deg = north - south;
    out.place.push_back(place);
    out.area_m2.push_back(grid.geographic
                              ? parallel_cell_area_m2(grid.cell_width, std::max(-90.0, grid.y_of(row + 1)), std::min(90.0, grid.y_of(row)))
                              : geodesic_area_m2(points));
  }
  return out;
}

LandResult build_land(const std::vector<RegionOnGrid>& regions, const GridDefinition& grid, const CellList& cells, const SoilReading& soil,
                      const std::vector<char>& weather_complete, double valid_min_share, const std::string& regions_path, InputLog& log) {
  const CellGeometry geometry = cell_geometry(grid, cells);
  LandResult out;
  out.land.soils = soil.classes;
  // Units of every cell that has weather, soil and crop land; cells without are dropped.
  std::vector<int> first_unit(cells.size(), -1);
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const CellSoil& here = soil.cells[i];
    if (weather_complete[i] == 0 || !holds_land(here)) continue;
    first_unit[i] = static_cast<int>(out.land.units.size());
    for (const auto& part : here.classes) out.land.units.push_back({static_cast<int>(out.kept.size()), part.soil});
    out.land.cells.push_back(geometry.place[i]);
    out.land.cells.back().elevation_m = here.elevation_m;
    out.kept.push_back(static_cast<int>(i));
  }
  for (const auto& placed : regions) {
    Region region = placed.region;
    RegionTally tally;
    for (const auto& run : placed.runs)
      for (int c = 0; c < run.count; ++c) {
        const int cell = run.row * grid.columns + run.column + c;
        const auto i = static_cast<std::size_t>(std::lower_bound(cells.begin(), cells.end(), cell) - cells.begin());
        const CellSoil& here = soil.cells[i];
        const double ha = run.fraction * geometry.area_m2[i] / kSquareMetresPerHectare;
        tally.covered_ha += ha;
        if (weather_complete[i] != 0) tally.valid_ha += ha * here.valid_share;
        if (first_unit[i] < 0) continue;
        for (std::size_t k = 0; k < here.classes.size(); ++k)
          region.units.push_back({first_unit[i] + static_cast<int>(k), ha * here.classes[k].share * here.crop_share});
      }
    region.valid_share = tally.covered_ha > 0 ? placed.inside_share * tally.valid_ha / tally.covered_ha : 0;
    if (region.valid_share > 1 - 1e-9) region.valid_share = 1;
    judge(placed, region.valid_share, valid_min_share, regions_path, log);
    if (region.units.empty() && region.valid_share >= valid_min_share)
      log.error(regions_path + ": region \"" + region.id + "\"", "", "holds no crop land by the crop mask",
                "check the crop mask, or take the region out");
    std::sort(region.units.begin(), region.units.end(), [](const UnitShare& a, const UnitShare& b) { return a.unit < b.unit; });
    out.land.regions.push_back(std::move(region));
  }
  return out;
}

}  // namespace rickyard
