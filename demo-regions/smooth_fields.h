#pragma once
// Two kinds of smooth field over the archipelago: fixed relief-like noise, and Gaussian fields drawn anew each day.
#include <Eigen/Core>
#include <vector>

#include "demo-regions/grid.h"

namespace rickyard::demo {

/// A sum of cosine waves with random directions: fixed once seeded, roughly N(0, 1) over a wide area.
class WaveNoise {
 public:
  /// wavelength_deg: the middle wavelength, in degrees of latitude; waves are spread from half to twice of it.
  WaveNoise(unsigned seed, unsigned stream, double wavelength_deg);
  double at(double lon_deg, double lat_deg) const;

 private:
  struct Wave {
    double kx, ky, phase;
  };
  std::vector<Wave> waves_;
};

/// Coarse nodes over an area: `columns` x `rows` of them, the outermost on its edge.
struct NodeGrid {
  Grid area;
  int columns = 0, rows = 0;
  int size() const { return columns * rows; }
  double lon(int column) const { return area.west_deg + column * area.step_deg * area.columns / (columns - 1); }
  double lat(int row) const { return area.north_deg - row * area.step_deg * area.rows / (rows - 1); }
};

/// Leading modes of the nodes' covariance exp(-distance / length_km), each scaled by the root of its eigenvalue: [node x mode];
/// node = row * columns + column.
Eigen::MatrixXd node_modes(const NodeGrid& nodes, double length_km, int modes);

/// Where a place lies among the nodes: between two rows and two columns.
struct NodeCell {
  int column = 0, row = 0;
  double u = 0, v = 0;  // shares of the way to the next column and the next row
};
NodeCell node_cell(const NodeGrid& nodes, double lon_deg, double lat_deg);

struct Place {
  double lon_deg = 0, lat_deg = 0;
};

/// Weights that turn independent normals into a spatially correlated standard normal field:
/// field = weights * modes, weights [place x mode], every row of length 1, so every place has variance 1.
/// The field is built on coarse nodes with correlation exp(-distance / length_km), its leading modes kept,
/// and carried to the places bilinearly.
Eigen::MatrixXd correlated_field_weights(const std::vector<Place>& places, double length_km, int modes);

}  // namespace rickyard::demo
