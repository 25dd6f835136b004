#include "demo-regions/smooth_fields.h"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "demo-regions/grid.h"
#include "demo-regions/random_numbers.h"

namespace rickyard::demo {
namespace {

constexpr int kWaves = 40;
constexpr double kKmPerDegree = 111.2;
const double kLonShrink = std::cos(56.0 * std::numbers::pi / 180);  // a degree of longitude at 56 N against one of latitude

constexpr int kNodeColumns = 9, kNodeRows = 7;

double node_lon(int column) { return kWeatherGrid.west_deg + column * kWeatherGrid.step_deg * kWeatherGrid.columns / (kNodeColumns - 1); }
double node_lat(int row) { return kWeatherGrid.north_deg - row * kWeatherGrid.step_deg * kWeatherGrid.rows / (kNodeRows - 1); }

double distance_km(double lon_a, double lat_a, double lon_b, double lat_b) {
  return kKmPerDegree * std::hypot((lon_a - lon_b) * kLonShrink, lat_a - lat_b);
}

/// Leading modes of the node covariance, each scaled by the root of its eigenvalue: [node x mode].
Eigen::MatrixXd node_modes(double length_km, int modes) {
  const int nodes = kNodeColumns * kNodeRows;
  Eigen::MatrixXd covariance(nodes, nodes);
  for (int a = 0; a < nodes; ++a)
    for (int b = 0; b < nodes; ++b)
      covariance(a, b) = std::exp(
          -distance_km(node_lon(a % kNodeColumns), node_lat(a / kNodeColumns), node_lon(b % kNodeColumns), node_lat(b / kNodeColumns)) /
          length_km);
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solver(covariance);
  // Eigenvalues come in rising order. The sign of an eigenvector is free: fix it so that its largest entry is positive.
  Eigen::MatrixXd kept(nodes, modes);
  for (int k = 0; k < modes; ++k) {
    Eigen::VectorXd mode = solver.eigenvectors().col(nodes - 1 - k);
    Eigen::Index largest = 0;
    mode.cwiseAbs().maxCoeff(&largest);
    if (mode(largest) < 0) mode = -mode;
    kept.col(k) = mode * std::sqrt(std::max(0.0, solver.eigenvalues()(nodes - 1 - k)));
  }
  return kept;
}

}  // namespace

WaveNoise::WaveNoise(unsigned seed, unsigned stream, double wavelength_deg) {
  Draws draws(seed, stream);
  for (int i = 0; i < kWaves; ++i) {
    const double wavelength = wavelength_deg * std::exp2(2 * draws.uniform() - 1);
    const double angle = 2 * std::numbers::pi * draws.uniform();
    const double k = 2 * std::numbers::pi / wavelength;
    waves_.push_back({k * std::cos(angle) * kLonShrink, k * std::sin(angle), 2 * std::numbers::pi * draws.uniform()});
  }
}

double WaveNoise::at(double lon_deg, double lat_deg) const {
  double sum = 0;
  for (const auto& wave : waves_) sum += std::cos(wave.kx * lon_deg + wave.ky * lat_deg + wave.phase);
  return sum * std::sqrt(2.0 / kWaves);
}

Eigen::MatrixXd correlated_field_weights(const std::vector<Place>& places, double length_km, int modes) {
  const Eigen::MatrixXd nodes = node_modes(length_km, modes);
  Eigen::MatrixXd weights(static_cast<Eigen::Index>(places.size()), modes);
  for (std::size_t i = 0; i < places.size(); ++i) {
    const double x = (places[i].lon_deg - node_lon(0)) / (node_lon(1) - node_lon(0));
    const double y = (places[i].lat_deg - node_lat(0)) / (node_lat(1) - node_lat(0));
    const int column = std::clamp(static_cast<int>(std::floor(x)), 0, kNodeColumns - 2);
    const int row = std::clamp(static_cast<int>(std::floor(y)), 0, kNodeRows - 2);
    const double u = x - column, v = y - row;
    const auto node = [&](int c, int r) { return nodes.row((row + r) * kNodeColumns + column + c); };
    const Eigen::RowVectorXd blended =
        (1 - u) * (1 - v) * node(0, 0) + u * (1 - v) * node(1, 0) + (1 - u) * v * node(0, 1) + u * v * node(1, 1);
    weights.row(static_cast<Eigen::Index>(i)) = blended.normalized();
  }
  return weights;
}

}  // namespace rickyard::demo
