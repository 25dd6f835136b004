#pragma once
// Region outlines for the page's map.
#include <string>

#include "geo/geometry.h"

namespace rickyard {

/// GeoJSON geometry (RFC 7946) of a shape in longitude and latitude, simplified to `tolerance_m` and rounded to 5 decimals
/// (about 1 m). The simplification keeps topology and works in a plane where both axes have one scale at the shape's mid latitude.
std::string outline_geojson(const MultiPolygon& lonlat, double tolerance_m = 100);

}  // namespace rickyard
