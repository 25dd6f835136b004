#include "demo-regions/weather_laws.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <boost/math/distributions/gamma.hpp>
#include <cmath>
#include <numbers>

#include "demo-regions/weather_generator.h"

namespace rickyard::demo {
namespace {

constexpr int kPoints = 4001;
constexpr double kReach = 5;

}  // namespace

GammaTable::GammaTable() {
  const boost::math::gamma_distribution<double> gamma(kGammaShape, 1 / kGammaShape);
  value_.reserve(kPoints);
  for (int i = 0; i < kPoints; ++i) {
    const double z = -kReach + 2 * kReach * i / (kPoints - 1);
    const double above = 0.5 * std::erfc(z / std::numbers::sqrt2);
    value_.push_back(boost::math::quantile(boost::math::complement(gamma, above)));
  }
}

double GammaTable::operator()(double z) const {
  const double position = (std::clamp(z, -kReach, kReach) + kReach) / (2 * kReach) * (kPoints - 1);
  const auto below = std::min(static_cast<std::size_t>(position), static_cast<std::size_t>(kPoints - 2));
  const double share = position - static_cast<double>(below);
  return value_[below] * (1 - share) + value_[below + 1] * share;
}

ResidualLaw::ResidualLaw() {
  Eigen::Matrix2d same_day, next_day;
  same_day << 1, kSameDay, kSameDay, 1;
  next_day << kNextDay[0][0], kNextDay[0][1], kNextDay[1][0], kNextDay[1][1];
  a = next_day * same_day.inverse();
  b = (same_day - a * next_day.transpose()).llt().matrixL();
}

}  // namespace rickyard::demo
