#pragma once
// What both weather generators follow beside Richardson's scheme: how far weather reaches, how much it rains, what is left of yesterday.
#include <Eigen/Core>
#include <vector>

namespace rickyard::demo {

inline constexpr double kRainLengthKm = 160, kTemperatureLengthKm = 450;  // distances at which correlation falls to 1/e

/// Standard normal z to a gamma variate of mean 1 and shape kGammaShape, by a table in z.
class GammaTable {
 public:
  GammaTable();
  double operator()(double z) const;

 private:
  std::vector<double> value_;
};

/// x(today) = a x(yesterday) + b e with e independent: a = M1 M0^-1, b b' = M0 - a M1' (Matalas 1967).
struct ResidualLaw {
  Eigen::Matrix2d a, b;
  ResidualLaw();
};

}  // namespace rickyard::demo
