#pragma once
// Land as the planner sees it: weather cells, soils, land units and the hectares of regions on them. Filled by geo.
#include <string>
#include <vector>

#include "planner/base/finding.h"

namespace rickyard {

/// Water limits of one soil class. Volumetric fractions (m3/m3); 0 < wilting < field_capacity < saturation < 1.
struct SoilClass {
  std::string name;
  double sand_frac = 0, clay_frac = 0;  // by weight; 0 where only water limits are known
  double wilting = 0, field_capacity = 0, saturation = 0;
  double ks_mm_day = 0;       // saturated conductivity
  double root_depth_m = 1.0;  // deepest rooting the soil allows
  int hydrologic_group = 1;   // 0..3 = A..D, for curve numbers
};

/// One cell of the weather grid that holds land of some region.
struct WeatherCell {
  double lon_deg = 0, lat_deg = 0;  // centre, WGS84
  double elevation_m = 0;
  double width_deg = 0, height_deg = 0;  // extent in WGS84, for maps
};

/// Weather cell x soil class.
struct LandUnit {
  int cell = 0;
  int soil = 0;
};

/// Hectares of one region on one land unit, by true area.
struct UnitShare {
  int unit = 0;
  double ha = 0;
};

struct Region {
  std::string id, name;
  double area_ha = 0;            // true area of the polygon
  double valid_share = 1;        // fraction of it with weather and soil
  std::vector<UnitShare> units;  // ascending unit index
  std::string outline_geojson;   // geometry in EPSG:4326 simplified to 100 m, as GeoJSON text
};

struct Land {
  std::vector<WeatherCell> cells;
  std::vector<SoilClass> soils;
  std::vector<LandUnit> units;  // ordered by cell, then soil
  std::vector<Region> regions;  // in file order
  Findings warnings;            // repairs, partial no-data
};

}  // namespace rickyard
