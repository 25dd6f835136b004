// The statistics of calibration against another implementation (R, dense matrices, written from METHODS.md) and published examples.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdio>
#include <fstream>
#include <memory>
#include <string>

#include "tests/calibration/panel_maker.h"

namespace rickyard {
namespace {

using testing::make_panel;
using testing::PanelTruth;
using testing::settings_for;

std::vector<double> in_r(const std::string& name, const std::vector<Deviation>& deviations, const PanelSettings& s) {
  const std::string path = std::string(RICKYARD_BINARY_DIR) + "/panel_" + name + ".csv";
  {
    std::ofstream file(path);
    file.precision(17);
    file << "region,year,value,noise\n";
    for (const auto& one : deviations) {
      const auto noise = s.year_noise_var.find(one.crop_year);
      file << one.region << "," << one.crop_year << "," << one.value << "," << (noise == s.year_noise_var.end() ? 0 : noise->second)
           << "\n";
    }
    REQUIRE(file.good());
  }
  char numbers[200];
  std::snprintf(numbers, sizeof numbers, " %.17g %.17g %.17g %.17g %d %.17g", s.common_prior, s.default_year_var, s.default_rest_var,
                s.default_weight, s.find_trend ? 1 : 0, s.between_prior);
  const std::string command =
      "/usr/bin/Rscript --vanilla '" RICKYARD_SOURCE_DIR "/tests/calibration/panel_reference.R' '" + path + "'" + numbers;
  std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
  REQUIRE(pipe);
  std::vector<double> values;
  for (double value = 0; std::fscanf(pipe.get(), "%lf", &value) == 1;) values.push_back(value);
  return values;
}

void compare(const std::string& name, const std::vector<Deviation>& deviations, const PanelSettings& s) {
  CAPTURE(name);
  const auto expected = in_r(name, deviations, s);
  const auto n = s.regions;
  REQUIRE(static_cast<int>(expected.size()) == 3 * (n + 1) + 5);
  const auto found = panel_bias(deviations, s);
  const auto at = [&](int block, int i) { return expected[static_cast<std::size_t>(block * (n + 1) + i)]; };
  const auto close = [](double value) { return doctest::Approx(value).epsilon(1e-8); };
  for (int r = 0; r < n; ++r) {
    CAPTURE(r);
    const auto& region = found.regions[static_cast<std::size_t>(r)];
    CHECK(region.bias == close(at(0, r)));
    CHECK(region.se == close(at(1, r)));
    CHECK(region.moved_by == close(at(2, r)));
  }
  CHECK(found.common == close(at(0, n)));
  CHECK(found.common_se == close(at(1, n)));
  CHECK(found.common_moved_by == close(at(2, n)));
  const auto rest = static_cast<std::size_t>(3 * (n + 1));
  CHECK(found.between_var == close(expected[rest]));
  CHECK(found.year_var == close(expected[rest + 1]));
  CHECK(found.rest_var == close(expected[rest + 2]));
  CHECK(found.slope == close(expected[rest + 3]));
  CHECK(found.slope_se == close(expected[rest + 4]));
}

}  // namespace

TEST_CASE("another implementation in R finds the same biases, errors and variances") {
  PanelTruth truth;
  truth.common = -0.03;
  SUBCASE("balanced") { compare("balanced", make_panel(truth, 21).deviations, settings_for(truth)); }
  SUBCASE("balanced with a trend") {
    truth.slope = 0.03;
    truth.seasons = 11;
    auto settings = settings_for(truth);
    settings.find_trend = true;
    compare("trend", make_panel(truth, 22).deviations, settings);
  }
  SUBCASE("gaps, a region of three seasons, an outlier, noisy seasons") {
    truth.regions = 6;
    truth.fixed_bias = {-0.05, 0.02, -0.25, 0.01, 0, 0.04};
    truth.seasons = 9;
    auto made = make_panel(truth, 23);
    std::vector<Deviation> kept;
    for (const auto& one : made.deviations) {
      if (one.region == 4 && one.crop_year < 2025) continue;
      if ((one.region + one.crop_year) % 5 == 0) continue;
      kept.push_back(one);
    }
    auto settings = settings_for(truth);
    settings.find_trend = true;
    settings.year_noise_var = {{2019, 0.01}, {2020, 0.01}};
    compare("gaps", kept, settings);
  }
  SUBCASE("three seasons: too few everywhere") {
    truth.seasons = 3;
    compare("few", make_panel(truth, 24).deviations, settings_for(truth));
  }
  SUBCASE("no variance between years") {
    truth.year_sd = 0;
    compare("rest", make_panel(truth, 26).deviations, settings_for(truth));
  }
}

TEST_CASE("batting averages of eighteen players: the variance between them is that behind the published shrinkage of 0.212") {
  // Efron & Morris 1975, J. Am. Stat. Assoc. 70:311-319, and Scientific American, May 1977: averages of the first 45 times at bat in 1970;
  // known variance p (1 - p)/45 at the mean 0.265; James-Stein factor c = 1 - (k - 3) V/S = 0.212. From memory; the data reproduce c.
  const std::vector<double> batted = {0.400, 0.378, 0.356, 0.333, 0.311, 0.311, 0.289, 0.267, 0.244,
                                      0.244, 0.222, 0.222, 0.222, 0.222, 0.222, 0.200, 0.178, 0.156};
  const double k = 18, v = 0.2654 * (1 - 0.2654) / 45;
  std::vector<double> precision(18 * 18, 0);
  for (std::size_t i = 0; i < 18; ++i) precision[i * 19] = 1 / v;
  const auto between = between_variance(batted, precision);
  // With one variance the moment estimate is S/(k - 1) - V, so V/(V + it) is (k - 1) V/S, of which (k - 3)/(k - 1) is 1 - c.
  CHECK(1 - (k - 3) / (k - 1) * v / (v + between.value) == doctest::Approx(0.212).epsilon(0.005));
}

TEST_CASE("variance between estimates of unequal precision: worked by hand") {
  // DerSimonian & Laird 1986, Control. Clin. Trials 7:177-188: (Q - (k - 1)) / (sum w - sum w^2 / sum w).
  // y = 0, 2, 4 with w = 1, 2, 1: mean 2, Q = 4 + 0 + 4 = 8, scale = 4 - 6/4 = 2.5: (8 - 2)/2.5 = 2.4.
  CHECK(between_variance({0, 2, 4}, {1, 0, 0, 0, 2, 0, 0, 0, 1}).value == doctest::Approx(2.4));
  // Alike: Q = 0, below its expectation: no variance, not a negative one.
  CHECK(between_variance({1, 1, 1}, {1, 0, 0, 0, 2, 0, 0, 0, 1}).value == 0);
  CHECK(between_variance({1}, {3}).value == 0);
}

}  // namespace rickyard
