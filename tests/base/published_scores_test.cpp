// CRPS against figures worked by hand and the closed form for the normal distribution (check-values 9 and 11).
#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>
#include <stdexcept>
#include <vector>

#include "planner/base/normal.h"
#include "planner/base/scores.h"

using namespace rickyard;

namespace {

bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }

double equal_crps(const std::vector<double>& values, double observed) {
  return crps(values, std::vector<double>(values.size(), 1.0), observed);
}

// The definition, pair by pair (Gneiting & Raftery 2007): the slow twin.
double by_pairs(const std::vector<double>& x, const std::vector<double>& w, double y) {
  double total = 0, error = 0, spread = 0;
  for (double weight : w) total += weight;
  for (std::size_t i = 0; i < x.size(); ++i) {
    error += w[i] / total * std::abs(x[i] - y);
    for (std::size_t j = 0; j < x.size(); ++j) spread += w[i] / total * (w[j] / total) * std::abs(x[i] - x[j]);
  }
  return error - spread / 2;
}

// Members at the (i - 1/2)/n quantiles of N(mean, 1), the ensemble that stands nearest to the distribution.
std::vector<double> normal_members(double mean, int n) {
  std::vector<double> x(static_cast<std::size_t>(n));
  for (int i = 0; i < n; ++i) x[static_cast<std::size_t>(i)] = mean + normal_quantile((i + 0.5) / n);
  return x;
}

}  // namespace

TEST_CASE("CRPS of {1, 2, 4}: 0.5 inside, 1.666667 below, 2 above (worked by hand)") {
  CHECK(within(equal_crps({1, 2, 4}, 2.5), 0.5, 1e-12));
  CHECK(within(equal_crps({1, 2, 4}, 2.5), 1.0 / 9 + 2.0 / 9 + 1.0 / 6, 1e-12));  // by the integral
  CHECK(within(equal_crps({1, 2, 4}, 0), 1.666667, 5e-7));
  CHECK(within(equal_crps({1, 2, 4}, 5), 2.0, 1e-12));
  // The fair form, which divides by M (M - 1), would give these; the score is not that.
  CHECK_FALSE(within(equal_crps({1, 2, 4}, 2.5), 0.166667, 0.01));
  CHECK_FALSE(within(equal_crps({1, 2, 4}, 0), 1.333333, 0.01));
}

TEST_CASE("CRPS of one member is the absolute error; of five yes-or-no members the Brier score 0.64") {
  CHECK(equal_crps({3}, 5) == 2);
  CHECK(equal_crps({3}, 3) == 0);
  CHECK(within(equal_crps({0, 0, 0, 0, 1}, 1), 0.64, 1e-12));  // (1 - 0.2)^2
  CHECK(within(crps(std::vector<double>{0, 1}, std::vector<double>{0.8, 0.2}, 1), 0.64, 1e-12));
}

TEST_CASE("CRPS goes to the closed form of the normal distribution") {
  // 2.43657473 is published; the others follow from z (2 Phi(z) - 1) + 2 phi(z) - 1/sqrt(pi). 4,000 members at the middles of equal
  // shares are within 2e-4 of the distribution (the tails cut off hold about 1/n of the score).
  CHECK(within(equal_crps(normal_members(0, 4000), -3), 2.43657473, 2e-4));
  CHECK(within(equal_crps(normal_members(0, 4000), 0), 0.2336949773, 2e-4));
  CHECK(within(equal_crps(normal_members(0, 4000), 1), 0.6024413576, 2e-4));
  CHECK(within(equal_crps(normal_members(5, 4000), 3), 1.4527918217, 2e-4));
  // Ten times the members, a tenth of the distance or less.
  CHECK(within(equal_crps(normal_members(0, 40000), 0), 0.2336949773, 2e-5));
}

TEST_CASE("CRPS of the nine-year outlook: 0.324000 weighted, 0.353086 with equal years (check-values 11)") {
  const std::vector<double> yield = {4.0, 4.6, 5.0, 5.8, 6.0, 6.2, 6.4, 6.6, 6.9};
  const std::vector<double> w = {1.0 / 6, 1.0 / 6, 1.0 / 6, 0.1, 0.1, 0.1, 1.0 / 15, 1.0 / 15, 1.0 / 15};
  CHECK(within(crps(yield, w, 5.5), 0.324, 5e-7));
  CHECK(within(equal_crps(yield, 5.5), 0.353086, 5e-7));
}

TEST_CASE("CRPS equals its definition by pairs, whatever order, ties, scale of weights or members without weight") {
  std::mt19937_64 engine(12);
  const auto draw = [&] { return static_cast<double>(engine() >> 11) * 0x1p-53; };
  for (int round = 0; round < 200; ++round) {
    CAPTURE(round);
    std::vector<double> x, w;
    const int n = 1 + round % 40;
    for (int i = 0; i < n; ++i) {
      x.push_back(std::round(20 * draw()) / 2 - 3);  // ties are common
      w.push_back(i % 5 == 4 ? 0 : 7 * draw());
    }
    for (double y : {-5.0, 0.0, x[0], 2.25, 12.0}) CHECK(within(crps(x, w, y), by_pairs(x, w, y), 1e-12));
  }
}

TEST_CASE("CRPS refuses what is no ensemble") {
  const std::vector<double> two = {1, 2}, one = {1}, zero = {0, 0}, negative = {2, -1}, none,
                            nan = {1, std::numeric_limits<double>::quiet_NaN()}, endless = {1, INFINITY};
  CHECK_THROWS_AS((void)crps(none, none, 1), std::invalid_argument);
  CHECK_THROWS_AS((void)crps(two, one, 1), std::invalid_argument);
  CHECK_THROWS_AS((void)crps(two, zero, 1), std::invalid_argument);
  CHECK_THROWS_AS((void)crps(two, negative, 1), std::invalid_argument);
  CHECK_THROWS_AS((void)crps(nan, two, 1), std::invalid_argument);
  CHECK_THROWS_AS((void)crps(two, nan, 1), std::invalid_argument);
  CHECK_THROWS_AS((void)crps(endless, two, 1), std::invalid_argument);
  CHECK_THROWS_AS((void)crps(two, two, INFINITY), std::invalid_argument);
}
