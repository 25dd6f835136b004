#include "demo-regions/smooth_fields.h"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "demo-regions/random_numbers.h"

namespace rickyard::demo {
namespace {

constexpr int kWaves = 40;
constexpr double kKmPerDegree = 111.2;
const double kLonShrink = std::cos(56.0 * std::numbers::pi / 180);  // a degree of longitude at 56 N against one of latitude

constexpr NodeGrid kDemoNodes{kWeatherGrid, 9, 7};

double distance_km(double lon_a, double lat_a, double lon_b, double lat_b) {
  return kKmPerDegree * std::hypot((lon_a - lon_b) * kLonShrink, lat_a - lat_b);
}

}  // namespace

Eigen::MatrixXd node_modes(const NodeGrid& nodes, double length_km, int modes) {
  const int n = nodes.size();
  Eigen::MatrixXd covariance(n, n);
  for (int a = 0; a < n; ++a)
    for (int b = 0; b < n; ++b)
      covariance(a, b) = std::exp(-distance_km(nodes.lon(a % nodes.columns), nodes.lat(a / nodes.columns), nodes.lon(b % nodes.columns),
                                               nodes.lat(b / nodes.columns)) /
                                  length_km);
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solver(covariance);
  // Eigenvalues come in rising order. The sign of an eigenvector is free: fix it so that its largest entry is positive.
  Eigen::MatrixXd kept(n, modes);
  for (int k = 0; k < modes; ++k) {
    Eigen::VectorXd mode = solver.eigenvectors().col(n - 1 - k);
    Eigen::Index largest = 0;
    mode.cwiseAbs().maxCoeff(&largest);
    if (mode(largest) < 0) mode = -mode;
    kept.col(k) = mode * std::sqrt(std::max(0.0, solver.eigenvalues()(n - 1 - k)));
  }
  return kept;
}

NodeCell node_cell(const NodeGrid& nodes, double lon_deg, double lat_deg) {
  const double x = (lon_deg - nodes.lon(0)) / (nodes.lon(1) - nodes.lon(0));
  const double y = (lat_deg - nodes.lat(0)) / (nodes.lat(1) - nodes.lat(0));
  NodeCell cell;
  cell.column = std::clamp(static_cast<int>(std::floor(x)), 0, nodes.columns - 2);
  cell.row = std::clamp(static_cast<int>(std::floor(y)), 0, nodes.rows - 2);
  cell.u = x - cell.column, cell.v = y - cell.row;
  return cell;
}

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
  const Eigen::MatrixXd nodes = node_modes(kDemoNodes, length_km, modes);
  Eigen::MatrixXd weights(static_cast<Eigen::Index>(places.size()), modes);
  for (std::size_t i = 0; i < places.size(); ++i) {
    const auto [column, row, u, v] = node_cell(kDemoNodes, places[i].lon_deg, places[i].lat_deg);
    const auto node = [&, c0 = column, r0 = row](int c, int r) { return nodes.row((r0 + r) * kDemoNodes.columns + c0 + c); };
    const Eigen::RowVectorXd blended =
        (1 - u) * (1 - v) * node(0, 0) + u * (1 - v) * node(1, 0) + (1 - u) * v * node(0, 1) + u * v * node(1, 1);
    weights.row(static_cast<Eigen::Index>(i)) = blended.normalized();
  }
  return weights;
}

}  // namespace rickyard::demo
