#pragma once
// From coverage, soils and valid weather to land units and hectares.
#include <vector>

#include "geo/coverage.h"
#include "geo/soil.h"
#include "planner/season/land.h"

namespace rickyard {

/// Default of the parameter valid_area_min_share: below it a region is refused.
inline constexpr double kValidAreaMinShare = 0.9;

/// A region on the weather grid.
struct RegionOnGrid {
  Region region;                  // id, name, area and outline filled
  std::vector<CoverageRun> runs;  // in the weather grid
  double inside_share = 0;        // part of the polygon inside the grid, by area in the grid's plane
};

/// Coverage of a polygon that may lie a turn east or west of a geographic grid; runs by row and column.
RegionOnGrid place_region(Region region, const MultiPolygon& on_grid, const GridDefinition& grid);

/// All cells that any region touches, as row * columns + column, ascending.
CellList cells_of(const std::vector<RegionOnGrid>& regions, const GridDefinition& grid);

/// True areas (m2), centres and sizes of cells on the WGS84 ellipsoid. Geographic grids: closed form between parallels.
/// Projected: geodesic polygon of the cell's outline, eight segments a side.
struct CellGeometry {
  std::vector<double> area_m2;
  std::vector<WeatherCell> place;
};
CellGeometry cell_geometry(const GridDefinition& grid, const CellList& cells);

/// Builds the land: hectares of region r on unit (cell, class) = coverage x true cell area x class share x crop share.
/// Cells without a unit are dropped: kept holds the positions that stay. Regions short of valid land are logged.
struct LandResult {
  Land land;
  std::vector<int> kept;
};
LandResult build_land(const std::vector<RegionOnGrid>& regions, const GridDefinition& grid, const CellList& cells, const SoilReading& soil,
                      const std::vector<char>& weather_complete, double valid_min_share, const std::string& regions_path, InputLog& log);

}  // namespace rickyard
