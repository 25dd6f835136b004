#pragma once
// True areas on the WGS84 ellipsoid.
#include <span>

#include "geo/geometry.h"

namespace rickyard {

inline constexpr double kSquareMetresPerHectare = 10000;

/// Area of the geodesic polygon with these corners (lon, lat in degrees), m2, without sign; edges are geodesics
/// (Karney 2013, J. Geodesy 87:43-55, by GeographicLib).
double geodesic_area_m2(std::span<const Point> lonlat);
/// Its perimeter, m.
double geodesic_perimeter_m(std::span<const Point> lonlat);

/// Area of a polygon whose edges are straight in longitude and latitude, m2; holes taken off. Edges are cut so that
/// no geodesic between cuts leaves the straight edge by more than 2 mm.
double lonlat_area_m2(const MultiPolygon& lonlat);

/// Area between two parallels and two meridians, m2: closed form, Z(lat) = (b^2/2) [sin/(1 - e^2 sin^2) + (1/2e) ln((1 + e sin)/(1 - e
/// sin))]. width_deg > 0; -90 <= south_deg < north_deg <= 90.
double parallel_cell_area_m2(double width_deg, double south_deg, double north_deg);

}  // namespace rickyard
