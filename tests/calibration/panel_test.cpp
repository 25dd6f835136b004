// The statistics of calibration against drawn tables whose truth is known: coverage over many seeds, limits and directions.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "tests/calibration/panel_maker.h"

namespace rickyard {
namespace {

using testing::make_panel;
using testing::PanelTruth;
using testing::settings_for;

constexpr unsigned kSeeds = 200;

struct Score {
  double covered = 0, rmse = 0, own_rmse = 0, common_covered = 0, trends = 0;
};

Score score(const PanelTruth& truth, bool find_trend) {
  Score s;
  double n = 0;
  for (unsigned seed = 1; seed <= kSeeds; ++seed) {
    const auto made = make_panel(truth, seed);
    auto settings = settings_for(truth);
    settings.find_trend = find_trend;
    const auto found = panel_bias(made.deviations, settings);
    for (std::size_t r = 0; r < found.regions.size(); ++r) {
      const auto& region = found.regions[r];
      const double error = region.bias - made.bias[r];
      s.covered += std::abs(error) <= 2 * region.se;
      s.rmse += error * error;
      s.own_rmse += (region.own - made.bias[r]) * (region.own - made.bias[r]);
      n += 1;
    }
    s.common_covered += std::abs(found.common - truth.common) <= 2 * found.common_se;
    s.trends += found.slope_used;
  }
  s.covered /= n;
  s.rmse = std::sqrt(s.rmse / n);
  s.own_rmse = std::sqrt(s.own_rmse / n);
  s.common_covered /= kSeeds;
  s.trends /= kSeeds;
  return s;
}

PanelBias one_region(int seasons, double value, PanelSettings settings = {}) {
  settings.regions = 1;
  settings.default_year_var = settings.default_rest_var = 0.005;
  std::vector<Deviation> deviations;
  for (int i = 0; i < seasons; ++i) deviations.push_back({0, 2027 - seasons + i, value});
  return panel_bias(deviations, settings);
}

}  // namespace

TEST_CASE("known biases lie within two standard errors in 90 to 99 % of 200 tables, and shrinkage comes nearer than each region alone") {
  struct Row {
    std::string name;
    PanelTruth truth;
  };
  std::vector<Row> rows = {{"ten regions, eight seasons", {}}};
  rows.push_back({"three regions", {}});
  rows.back().truth.regions = 3;
  rows.push_back({"five seasons", {}});
  rows.back().truth.seasons = 5;
  rows.push_back({"thirty seasons", {}});
  rows.back().truth.seasons = 30;
  rows.push_back({"all six per cent low", {}});
  rows.back().truth.common = -0.06;
  rows.push_back({"regions alike", {}});
  rows.back().truth.between_sd = 0;
  rows.push_back({"seasons shared wholly", {}});
  rows.back().truth.year_sd = 0.08;
  rows.back().truth.rest_sd = 0.01;
  rows.push_back({"nothing shared", {}});
  rows.back().truth.year_sd = 0;
  rows.back().truth.rest_sd = 0.08;
  for (const auto& row : rows) {
    CAPTURE(row.name);
    const Score s = score(row.truth, false);
    MESSAGE(row.name << ": covered " << s.covered << ", rmse " << s.rmse << " against " << s.own_rmse << " alone");
    CHECK(s.covered >= 0.90);
    CHECK(s.covered <= 0.99);
    CHECK(s.common_covered >= 0.90);
    CHECK(s.rmse < s.own_rmse);
  }
}

TEST_CASE("the more seasons, the nearer to the data; one season moves the user's figure by a tenth at most") {
  double before = 0;
  for (int n : {1, 2, 3, 4, 5, 8, 15, 30, 100}) {
    CAPTURE(n);
    const auto found = one_region(n, -0.08);
    CHECK(found.regions[0].own == doctest::Approx(-0.08));
    CHECK(found.regions[0].bias == doctest::Approx(found.regions[0].moved_by * -0.08));
    CHECK(found.regions[0].moved_by > before);
    // Fewer than five seasons: n/(n + 10) at most, the stated rule.
    if (n < kFewSeasons) CHECK(found.regions[0].moved_by <= n / (n + 10.0));
    before = found.regions[0].moved_by;
  }
  CHECK(one_region(4, -0.08).regions[0].moved_by < 0.29);
  CHECK(one_region(5, -0.08).regions[0].moved_by > 0.5);
  CHECK(one_region(400, -0.08).regions[0].bias == doctest::Approx(-0.08).epsilon(0.01));
  CHECK(one_region(400, -0.08).regions[0].se < one_region(8, -0.08).regions[0].se / 3);
}

TEST_CASE("a season of forty regions is still one season") {
  std::vector<Deviation> deviations;
  for (int r = 0; r < 40; ++r) deviations.push_back({r, 2026, -0.10 + 0.001 * r});
  PanelSettings settings;
  settings.regions = 40;
  settings.default_year_var = settings.default_rest_var = 0.005;
  const auto found = panel_bias(deviations, settings);
  CHECK(found.common_moved_by <= 1.0 / 11);
  for (const auto& region : found.regions) CHECK(region.moved_by <= 1.0 / 11 + 1e-9);
}

TEST_CASE("regions are drawn towards their common bias, and an outlier stays within one of its own standard errors") {
  PanelTruth truth;
  truth.fixed_bias = {0, 0, -0.15, 0, 0, 0, 0, 0, 0, 0};
  for (unsigned seed = 1; seed <= kSeeds; ++seed) {
    CAPTURE(seed);
    const auto found = panel_bias(make_panel(truth, seed).deviations, settings_for(truth));
    const auto& outlier = found.regions[2];
    CHECK(outlier.bias > outlier.own);  // towards the others
    CHECK(outlier.bias - outlier.own <= outlier.own_se + 1e-12);
    CHECK(outlier.bias < found.common);
  }
}

TEST_CASE("a region without deliveries takes what the others have in common, with a wider error") {
  PanelTruth truth;
  truth.common = -0.05;
  const auto made = make_panel(truth, 3);
  auto settings = settings_for(truth);
  settings.regions = 11;
  const auto found = panel_bias(made.deviations, settings);
  CHECK(found.regions[10].seasons == 0);
  CHECK(found.regions[10].bias == found.common);
  CHECK(found.regions[10].se > found.common_se);
  for (int r = 0; r < 10; ++r) CHECK(found.regions[10].se > found.regions[static_cast<std::size_t>(r)].se);
}

TEST_CASE("a trend is found, taken out to the last season, sought from eight seasons on, and seldom seen where there is none") {
  PanelTruth truth;
  truth.slope = 0.03;
  truth.seasons = 12;
  const Score with = score(truth, true);
  CHECK(with.trends > 0.99);
  CHECK(with.covered >= 0.90);
  CHECK(with.covered <= 0.99);
  double slope = 0, inside = 0;
  for (unsigned seed = 1; seed <= kSeeds; ++seed) {
    auto settings = settings_for(truth);
    settings.find_trend = true;
    const auto found = panel_bias(make_panel(truth, seed).deviations, settings);
    slope += found.slope / kSeeds;
    inside += std::abs(found.slope - truth.slope) <= 2 * found.slope_se;
  }
  CHECK(slope == doctest::Approx(0.03).epsilon(0.05));  // its own error over 200 tables is 0.0003
  CHECK(inside / kSeeds >= 0.90);
  truth.slope = 0;
  CHECK(score(truth, true).trends < 0.12);  // |t| > 2 with ten degrees of freedom: 7 %, and three standard errors of 200 tables
  truth.seasons = 7;
  auto settings = settings_for(truth);
  settings.find_trend = true;
  truth.slope = 0.1;
  const auto found = panel_bias(make_panel(truth, 1).deviations, settings);
  CHECK_FALSE(found.slope_used);
  CHECK(found.slope_se == 0);
}

TEST_CASE("a trend that is left in would put the figure years back") {
  PanelTruth truth;
  truth.slope = 0.03;
  truth.seasons = 12;
  truth.between_sd = truth.year_sd = 0;
  truth.rest_sd = 0.01;
  auto settings = settings_for(truth);
  const auto made = make_panel(truth, 5);
  const auto left_in = panel_bias(made.deviations, settings);
  settings.find_trend = true;
  const auto taken_out = panel_bias(made.deviations, settings);
  CHECK(std::abs(taken_out.common) < 0.02);
  CHECK(left_in.common < -0.12);  // half of eleven years at 3 %, shrunk a little
}

TEST_CASE("what is left is told apart into shared and own, and the defaults count as the stated seasons") {
  PanelTruth truth;
  truth.year_sd = 0.07;
  truth.rest_sd = 0.03;
  double year = 0, rest = 0;
  for (unsigned seed = 1; seed <= kSeeds; ++seed) {
    const auto found = panel_bias(make_panel(truth, seed).deviations, settings_for(truth));
    year += found.data_year_var / kSeeds;
    rest += found.data_rest_var / kSeeds;
    CHECK(found.year_df == 7);
    CHECK(found.rest_df == 63);
    CHECK(found.year_var == doctest::Approx((5 * 0.0049 + 7 * found.data_year_var) / 12));
  }
  // Standard errors over 200 tables: sqrt(2/7/200) = 3.8 % and sqrt(2/63/200) = 1.3 %.
  CHECK(year == doctest::Approx(0.0049).epsilon(0.12));
  CHECK(rest == doctest::Approx(0.0009).epsilon(0.04));
}

TEST_CASE("a season whose weather is not in the archive counts less") {
  std::vector<Deviation> deviations;
  for (int year = 2018; year < 2026; ++year) deviations.push_back({0, year, 0});
  deviations.push_back({0, 2026, -0.30});
  PanelSettings settings;
  settings.regions = 1;
  settings.default_year_var = settings.default_rest_var = 0.002;
  const double plain = panel_bias(deviations, settings).regions[0].own;
  settings.year_noise_var[2026] = 0.01;
  const double noisy = panel_bias(deviations, settings).regions[0].own;
  CHECK(plain == doctest::Approx(-0.30 / 9));
  CHECK(noisy < 0);
  CHECK(noisy > 0.75 * plain);
}

TEST_CASE("the order of the rows means nothing, and no rows mean nothing learnt") {
  PanelTruth truth;
  auto made = make_panel(truth, 11);
  const auto before = panel_bias(made.deviations, settings_for(truth));
  std::reverse(made.deviations.begin(), made.deviations.end());
  std::swap(made.deviations[3], made.deviations[40]);
  const auto after = panel_bias(made.deviations, settings_for(truth));
  for (std::size_t r = 0; r < before.regions.size(); ++r) {
    CHECK(after.regions[r].bias == doctest::Approx(before.regions[r].bias).epsilon(1e-10));
    CHECK(after.regions[r].se == doctest::Approx(before.regions[r].se).epsilon(1e-10));
  }
  const auto nothing = panel_bias({}, settings_for(truth));
  CHECK(nothing.common == 0);
  CHECK(nothing.common_moved_by == 0);
  CHECK(nothing.common_se == doctest::Approx(0.08));  // the prior
  for (const auto& region : nothing.regions) CHECK(region.bias == 0);
}

}  // namespace rickyard
