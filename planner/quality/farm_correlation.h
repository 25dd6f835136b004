#pragma once
// How nitrogen and thin grain go together between farms, and the bivariate normal law behind it.
// Called many millions of times: inline, no allocation, a fixed quadrature of exponentials.
#include <array>
#include <cmath>
#include <cstddef>

namespace rickyard {

/// Correlation of N with log-screenings between farms of one land unit. With h and k standard bounds of N and of log-screenings,
/// P(N <= h and screenings <= k) = Phi(h) Phi(k) + joint_excess(h, k).
struct FarmCorrelation {
  static constexpr int kMostNodes = 20;
  static constexpr double kFarthest = 8;  // sigma; beyond it the excess is under 1e-14 and taken as 0
  double rho = 0;                         // -0.95..0.95
  int nodes = 0;                          // 0 where rho = 0
  // One exponential for each node: weight x exp(square (h^2 + k^2) + product h k).
  std::array<double, kMostNodes> weight{}, square{}, product{};
  // Its derivative by h plus rho x that by k is the exponential x (by_h h + by_k k).
  std::array<double, kMostNodes> by_h{}, by_k{};

  /// Gauss-Legendre nodes on 0..asin(rho): 4 to |rho| 0.3, 7 to 0.7, 10 to 0.85, 20 to 0.95, error below 1e-10. std::invalid_argument
  /// beyond 0.95.
  static FarmCorrelation of(double rho);

  struct Joint {
    double excess = 0;  // joint_excess
    double pull = 0;    // its derivative by h plus rho x its derivative by k
  };
  Joint joint(double h, double k) const {
    Joint sum;
    if (nodes == 0 || !(std::abs(h) < kFarthest) || !(std::abs(k) < kFarthest)) return sum;
    const double squares = h * h + k * k, hk = h * k;
    for (std::size_t i = 0; i < static_cast<std::size_t>(nodes); ++i) {
      const double e = weight[i] * std::exp(square[i] * squares + product[i] * hk);
      sum.excess += e;
      sum.pull += e * (by_h[i] * h + by_k[i] * k);
    }
    return sum;
  }

  /// (1 / 2 pi) x integral over t in 0..asin(rho) of exp(-(h^2 + k^2 - 2 h k sin t) / (2 cos^2 t)): Drezner and Wesolowsky (1990).
  double joint_excess(double h, double k) const { return joint(h, k).excess; }
};

}  // namespace rickyard
