// Quantiles, CVaR and the normal distribution against published and hand-computed values.
#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>
#include <vector>

#include "planner/base/normal.h"
#include "planner/base/range.h"

using namespace rickyard;

TEST_CASE("Equal weights give Hyndman & Fan type 7 (R 4.2.2 stats::quantile, check-values 7.4)") {
  const std::vector<double> x = {2, 4, 4, 5, 7, 9, 11, 15, 20, 31}, w(10, 0.1);
  const double p[] = {0.10, 0.25, 1.0 / 3, 0.50, 2.0 / 3, 0.75, 0.90};
  const double expected[] = {3.8, 4.25, 5, 8, 11, 14, 21.1};
  for (int i = 0; i < 7; ++i) CHECK(weighted_quantile(x, w, p[i]) == doctest::Approx(expected[i]).epsilon(1e-12));
  CHECK(weighted_quantile(x, w, 0) == doctest::Approx(2));
  CHECK(weighted_quantile(x, w, 1) == doctest::Approx(31));
}

TEST_CASE("Weighted quantiles of the nine-year outlook example (check-values 11, design 8)") {
  const std::vector<double> x = {4.0, 4.6, 5.0, 5.8, 6.0, 6.2, 6.4, 6.6, 6.9};
  const std::vector<double> w = {1.0 / 6, 1.0 / 6, 1.0 / 6, 0.1, 0.1, 0.1, 1.0 / 15, 1.0 / 15, 1.0 / 15};
  CHECK(std::abs(weighted_quantile(x, w, 0.1) - 4.224211) < 5e-7);
  CHECK(std::abs(weighted_quantile(x, w, 0.5) - 5.4) < 5e-7);
  CHECK(std::abs(weighted_quantile(x, w, 0.9) - 6.450526) < 5e-7);
  CHECK(inverse_distribution_quantile(x, w, 0.1) == 4.0);
  CHECK(inverse_distribution_quantile(x, w, 0.5) == 5.0);
  CHECK(inverse_distribution_quantile(x, w, 0.9) == 6.6);
  CHECK(std::abs(weighted_mean(x, w) - 5.393333) < 5e-7);
  CHECK(std::abs(effective_sample_size(w) - 7.894737) < 5e-7);
  std::vector<double> low;  // the chance of less than 5.5 t/ha is a weighted mean of yes and no: 0.5, with equal years 1/3
  for (double yield : x) low.push_back(yield < 5.5 ? 1 : 0);
  CHECK(std::abs(weighted_mean(low, w) - 0.5) < 1e-12);
  CHECK(std::abs(weighted_mean(low, std::vector<double>(9, 1.0)) - 1.0 / 3) < 1e-12);
}

TEST_CASE("Weights that are all zero, negative or too few are refused") {
  const std::vector<double> x = {1, 2};
  const std::vector<double> zero = {0, 0}, negative = {1, -1}, few = {1};
  CHECK_THROWS_AS((void)weighted_mean(x, zero), std::invalid_argument);
  CHECK_THROWS_AS((void)weighted_mean(x, negative), std::invalid_argument);
  CHECK_THROWS_AS((void)weighted_mean(x, few), std::invalid_argument);
}

TEST_CASE("CVaR splits the atom at the quantile (Rockafellar & Uryasev 2002; check-values 8.3)") {
  const std::vector<double> loss = {0, 10, 20, 30, 100}, w = {0.50, 0.20, 0.15, 0.10, 0.05};
  CHECK(weighted_cvar(loss, w, 0.80) == doctest::Approx(45).epsilon(1e-9));
  CHECK(weighted_cvar(loss, w, 0.90) == doctest::Approx(65).epsilon(1e-9));
  CHECK(weighted_cvar(loss, w, 0.93) == doctest::Approx(80).epsilon(1e-9));
  CHECK(weighted_cvar(loss, w, 0.95) == doctest::Approx(100).epsilon(1e-9));
}

TEST_CASE("The mean of accepted grain turns back to all grain: 1.48 at 1.65 with sigma 0.13 is 1.516 (design 6)") {
  CHECK(std::abs(all_grain_mean(1.48, 0.13, 1.65) - 1.516) < 5e-4);
  for (double mean : {1.30, 1.45, 1.60, 1.75}) {
    const double accepted = truncated_normal_mean(mean, 0.13, -INFINITY, 1.65);
    CHECK(all_grain_mean(accepted, 0.13, 1.65) == doctest::Approx(mean).epsilon(1e-9));
  }
}
