#pragma once
// Two kinds of smooth field over the archipelago: fixed relief-like noise, and Gaussian fields drawn anew each day.
#include <Eigen/Core>
#include <vector>

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

struct Place {
  double lon_deg = 0, lat_deg = 0;
};

/// Weights that turn independent normals into a spatially correlated standard normal field:
/// field = weights * modes, weights [place x mode], every row of length 1, so every place has variance 1.
/// The field is built on coarse nodes with correlation exp(-distance / length_km), its leading modes kept,
/// and carried to the places bilinearly.
Eigen::MatrixXd correlated_field_weights(const std::vector<Place>& places, double length_km, int modes);

}  // namespace rickyard::demo
