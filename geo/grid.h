#pragma once
// The weather grid: always held north-up, row 0 the northernmost, whatever the file holds.
#include <string>
#include <vector>

namespace rickyard {

struct GridDefinition {
  std::string crs_wkt;      // WKT of the coordinate reference system
  bool geographic = false;  // x and y are degrees
  int columns = 0, rows = 0;
  double west = 0, north = 0;              // outer corner of cell (row 0, column 0), CRS units
  double cell_width = 0, cell_height = 0;  // both positive, CRS units
  std::vector<int> cell_index;             // [cell of Land] row * columns + column, ascending

  double x_of(double column) const { return west + column * cell_width; }
  double y_of(double row) const { return north - row * cell_height; }
};

/// Same size, and corners and cell sizes equal to a ten-thousandth of a cell. The reference systems are not compared.
bool same_lattice(const GridDefinition& a, const GridDefinition& b);

}  // namespace rickyard
