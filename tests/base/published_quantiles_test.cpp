// Quantiles and CVaR: published tables, and the neighbours they must not be taken for (check-values 7.4, 8.3, 11).
#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <vector>

#include "planner/base/normal.h"
#include "planner/base/range.h"

using namespace rickyard;

namespace {

bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }

const std::vector<double> kTen = {2, 4, 4, 5, 7, 9, 11, 15, 20, 31};
constexpr std::array<double, 7> kProbability = {0.10, 0.25, 1.0 / 3, 0.50, 2.0 / 3, 0.75, 0.90};

}  // namespace

TEST_CASE("The inverse-distribution quantile is type 1 of Hyndman & Fan (R 4.2.2 stats::quantile)") {
  const std::vector<double> w(10, 0.1);
  const std::array<double, 7> type1 = {2, 4, 5, 7, 11, 15, 20};
  for (std::size_t i = 0; i < 7; ++i) {
    CAPTURE(kProbability[i]);
    CHECK(inverse_distribution_quantile(kTen, w, kProbability[i]) == type1[i]);
  }
}

TEST_CASE("Ranges are type 7 and none of types 1 to 6, 8 or 9 (R 4.2.2 stats::quantile)") {
  const std::vector<double> w(10, 1);
  const auto range = weighted_range(kTen, w);
  CHECK(within(range.p10, 3.8, 1e-12));
  CHECK(within(range.p50, 8, 1e-12));
  CHECK(within(range.p90, 21.1, 1e-12));
  // 10 and 90 % of the others, one row each: type 7 is the only one that gives both figures above.
  struct Other {
    int type;
    double p10, p90;
  };
  const Other others[] = {{1, 2, 20},   {2, 3, 25.5},   {3, 2, 20},           {4, 2, 20},
                          {5, 3, 25.5}, {6, 2.2, 29.9}, {8, 2.733333, 26.97}, {9, 2.8, 26.6}};
  for (const auto& other : others) {
    CAPTURE(other.type);
    CHECK_FALSE(within(range.p10, other.p10, 0.5));
    CHECK_FALSE(within(range.p90, other.p90, 0.5));
  }
}

TEST_CASE("The Nile at Aswan, 1871-1970 (R datasets::Nile): type 7 at 10, 25, 50, 75 and 90 %") {
  const std::vector<double> nile = {1120, 1160, 963,  1210, 1160, 1160, 813,  1230, 1370, 1140, 995,  935,  1110, 994, 1020, 960,  1180,
                                    799,  958,  1140, 1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774,  840,  874, 694,  940,  833,
                                    701,  916,  692,  1020, 1050, 969,  831,  726,  456,  824,  702,  1120, 1100, 832, 764,  821,  768,
                                    845,  864,  862,  698,  845,  744,  796,  1040, 759,  781,  865,  845,  944,  984, 897,  822,  1010,
                                    771,  676,  649,  846,  812,  742,  801,  1040, 860,  874,  848,  890,  744,  749, 838,  1050, 918,
                                    986,  797,  923,  975,  815,  1020, 906,  901,  1170, 912,  746,  919,  718,  714, 740};
  REQUIRE(nile.size() == 100);
  const std::vector<double> w(100, 1);
  const std::array<double, 5> p = {0.10, 0.25, 0.50, 0.75, 0.90}, type7 = {725.2, 798.5, 893.5, 1032.5, 1160};
  for (std::size_t i = 0; i < 5; ++i) CHECK(within(weighted_quantile(nile, w, p[i]), type7[i], 1e-9));
  CHECK_FALSE(within(weighted_quantile(nile, w, 0.10), 722.0, 1));  // type 5
  CHECK_FALSE(within(weighted_quantile(nile, w, 0.10), 718.8, 1));  // type 6
}

TEST_CASE("CVaR is not the mean of all losses at or above the quantile: 65 at 0.90, never 53.33 (Rockafellar & Uryasev 2002)") {
  const std::vector<double> loss = {0, 10, 20, 30, 100}, w = {0.50, 0.20, 0.15, 0.10, 0.05};
  CHECK(within(weighted_cvar(loss, w, 0.90), 65, 1e-9));
  CHECK_FALSE(within(weighted_cvar(loss, w, 0.90), 53.33, 1));
  // The quantile itself: 20 at 0.80, 30 from 0.90 to 0.95.
  CHECK(inverse_distribution_quantile(loss, w, 0.80) == 20);
  CHECK(inverse_distribution_quantile(loss, w, 0.90) == 30);
  CHECK(inverse_distribution_quantile(loss, w, 0.93) == 30);
  CHECK(inverse_distribution_quantile(loss, w, 0.95) == 30);
}

TEST_CASE("Three weights of a sixth reach one half, though their floating sum may fall short (check-values 11)") {
  const std::vector<double> yield = {4.0, 4.6, 5.0, 5.8, 6.0, 6.2, 6.4, 6.6, 6.9};
  const std::vector<double> w = {1.0 / 6, 1.0 / 6, 1.0 / 6, 0.1, 0.1, 0.1, 1.0 / 15, 1.0 / 15, 1.0 / 15};
  CHECK(inverse_distribution_quantile(yield, w, 0.5) == 5.0);
  CHECK(inverse_distribution_quantile(yield, w, std::nextafter(0.5, 1)) == 5.0);  // inside the slack of 1e-12
  CHECK(inverse_distribution_quantile(yield, w, 0.5 + 1e-9) == 5.8);              // outside
  const std::vector<double> equal(9, 1.0 / 9);
  CHECK(within(weighted_mean(yield, equal), 5.722222, 5e-7));
  CHECK(within(weighted_mean(yield, w), 5.393333, 5e-7));
  CHECK(within(effective_sample_size(equal), 9, 1e-9));
}

TEST_CASE("Phi at whole and half steps (tables of the normal distribution, four decimals)") {
  const double z[] = {-3, -2.5, -2, -1.5, -1, -0.5}, p[] = {0.0014, 0.0062, 0.0228, 0.0668, 0.1587, 0.3085};
  const double more[] = {0.00135, 0.00621, 0.02275, 0.06681, 0.15866, 0.30854};  // recomputed, five decimals
  for (int i = 0; i < 6; ++i) {
    CHECK(within(normal_cdf(z[i]), p[i], 0.000051));  // 0.00135 is printed 0.0014
    CHECK(within(normal_cdf(z[i]), more[i], 0.000005));
    CHECK(within(normal_quantile(normal_cdf(z[i])), z[i], 1e-12));
  }
  CHECK(within(normal_cdf(1), 0.841345, 5e-7));             // PIT of 1 under N(0, 1)
  CHECK(within(normal_quantile(7.0 / 9), 0.764710, 5e-7));  // newsvendor ratio 0.7778
}
