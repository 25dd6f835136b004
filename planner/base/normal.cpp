#include "planner/base/normal.h"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace rickyard {

double normal_cdf(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }
double normal_pdf(double z) { return std::exp(-0.5 * z * z) / std::sqrt(2 * std::numbers::pi); }

double normal_quantile(double p) {
  if (!(p > 0 && p < 1)) throw std::domain_error("a probability must lie between 0 and 1");
  return boost::math::quantile(boost::math::normal_distribution<double>(0, 1), p);
}

double truncated_normal_mean(double mean, double sigma, double lower, double upper) {
  const double a = (lower - mean) / sigma, b = (upper - mean) / sigma;
  // The upper tail is taken by symmetry, where differences of probabilities keep their digits.
  const double mass = a > 0 ? normal_cdf(-a) - normal_cdf(-b) : normal_cdf(b) - normal_cdf(a);
  if (!(mass > 1e-300)) return std::abs(a) < std::abs(b) ? lower : upper;
  const double value = mean + sigma * (normal_pdf(a) - normal_pdf(b)) / mass;
  return std::clamp(value, lower, upper);
}

double all_grain_mean(double accepted_mean, double sigma, double limit) {
  if (!(accepted_mean < limit) || !(sigma > 0)) throw std::domain_error("the mean of accepted grain must lie below the limit");
  double low = accepted_mean, high = limit + 40 * sigma;
  while (high - low > 1e-12) {
    const double middle = 0.5 * (low + high);
    if (middle <= low || middle >= high) break;
    (truncated_normal_mean(middle, sigma, -std::numeric_limits<double>::infinity(), limit) < accepted_mean ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace rickyard
