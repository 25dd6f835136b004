#pragma once
// North-up grids in degrees (EPSG:4326) of the archipelago.
#include <cstddef>

namespace rickyard::demo {

/// Cells in rows from the north; index = row * columns + column.
struct Grid {
  double west_deg = 0, north_deg = 0;
  double step_deg = 0;
  int columns = 0, rows = 0;

  std::size_t size() const { return static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows); }
  std::size_t at(int column, int row) const {
    return static_cast<std::size_t>(row) * static_cast<std::size_t>(columns) + static_cast<std::size_t>(column);
  }
  double lon(int column) const { return west_deg + (column + 0.5) * step_deg; }
  double lat(int row) const { return north_deg - (row + 0.5) * step_deg; }
};

/// 75 x 56 weather cells of 1/24 degree in the open ocean west of every coast at 56 N.
inline constexpr Grid kWeatherGrid{-29.375, 57.25, 1.0 / 24, 75, 56};
/// Soil, mask and elevation: four pixels a side in each weather cell.
inline constexpr Grid kSoilGrid{-29.375, 57.25, 1.0 / 96, 300, 224};

}  // namespace rickyard::demo
