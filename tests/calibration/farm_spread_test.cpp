// The spread between farms: from growers, cut at a limit or not, and from accepted mean and accepted share.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "planner/base/normal.h"
#include "planner/calibration/farm_spread.h"
#include "tests/calibration/deliveries_maker.h"

namespace rickyard {
namespace {

using testing::delivery;
using testing::delivery_season;
using testing::Normals;
using testing::steady_forecast;

constexpr double kNoFloor = -std::numeric_limits<double>::infinity();

FarmSpread spread(const Season& season, double floor_n_pct = kNoFloor) {
  const auto modelled = modelled_regions(season, steady_forecast(season, 2010, 17), std::nullopt);
  return farm_spread(past_deliveries(season, modelled, std::nullopt), modelled, floor_n_pct);
}

// Growers of one region and season whose N is normal; with a limit only those at or under it are in the book.
void add_growers(Season& season, int crop_year, int growers, double mean, double sigma, std::optional<double> limit, Normals& normal) {
  for (int g = 0; g < growers; ++g) {
    const double n = mean + sigma * normal();
    if (limit && n > *limit) continue;
    HistoryRow row = delivery("r0", crop_year, 10, 60);
    row.grower = "g" + std::to_string(g);
    row.n_pct = n;
    row.n_basis = limit ? NitrogenBasis::accepted : NitrogenBasis::all_grain;
    row.limit_n_pct = limit;
    season.history.push_back(row);
  }
}

// An intake book whose accepted mean and share are those of N(mean, sigma) cut at the limit and the floor.
HistoryRow book(int crop_year, double mean, double sigma, double limit, double passed_other, double floor_n_pct = kNoFloor) {
  HistoryRow row = delivery("r0", crop_year, 100, 600);
  row.n_basis = NitrogenBasis::accepted;
  row.limit_n_pct = limit;
  row.n_pct = truncated_normal_mean(mean, sigma, floor_n_pct, limit);
  row.qualifying_t = 600 * passed_other * (normal_cdf((limit - mean) / sigma) - normal_cdf((floor_n_pct - mean) / sigma));
  return row;
}

}  // namespace

TEST_CASE("three growers by hand, tonnes counting") {
  Season season = delivery_season(1);
  for (int g = 0; g < 3; ++g) {
    HistoryRow row = delivery("r0", 2025, 10, g == 2 ? 200 : 100);
    row.grower = "g" + std::to_string(g);
    row.n_pct = 1.40 + 0.10 * g;
    season.history.push_back(row);
  }
  // Shares 1/4, 1/4, 1/2: mean 1.525; sum p d^2 = (0.015625 + 0.000625)/4 + 0.005625/2 = 0.006875; 1 - sum p^2 = 0.625.
  const auto found = spread(season);
  CHECK(found.from_growers);
  CHECK(found.sigma_pct == doctest::Approx(std::sqrt(0.006875 / 0.625)));
  CHECK(found.se_ln == doctest::Approx(0.5));  // 1/sqrt(2 x 2)
  season.history.pop_back();
  CHECK(spread(season).sigma_pct == 0);  // two growers are too few, and no share is recorded
}

TEST_CASE("growers' spread is found within two standard errors in 90 to 99 % of 200 histories, cut at a limit or not") {
  for (const bool cut : {false, true}) {
    CAPTURE(cut);
    double covered = 0, mean_ln = 0;
    for (unsigned seed = 1; seed <= 200; ++seed) {
      Season season = delivery_season(1);
      Normals normal(seed);
      for (int year = 2017; year < 2027; ++year)
        add_growers(season, year, 25, 1.48 + 0.08 * normal(), 0.15, cut ? std::optional(1.65) : std::nullopt, normal);
      const auto found = spread(season);
      REQUIRE(found.sigma_pct > 0);
      covered += std::abs(std::log(found.sigma_pct / 0.15)) <= 2 * found.se_ln;
      mean_ln += std::log(found.sigma_pct / 0.15) / 200;
    }
    CHECK(covered / 200 >= 0.90);
    CHECK(covered / 200 <= 0.99);
    CHECK(std::abs(mean_ln) < 0.03);
    MESSAGE("cut at the limit " << cut << ": covered " << covered / 200 << ", mean error " << 100 * mean_ln << " %");
  }
}

TEST_CASE("a cut sample taken as whole would show too small a spread") {
  Season season = delivery_season(1);
  Normals normal(5);
  for (int year = 2007; year < 2027; ++year) add_growers(season, year, 40, 1.52, 0.15, 1.65, normal);
  const double with_cut = spread(season).sigma_pct;
  for (auto& row : season.history) row.n_basis = NitrogenBasis::all_grain;
  CHECK(with_cut == doctest::Approx(0.15).epsilon(0.1));
  // Variance of a normal cut at z = 0.13/0.15: sigma^2 (1 - lambda (lambda + z)), lambda = phi(z)/Phi(z) = 0.340: 0.1152.
  CHECK(spread(season).sigma_pct == doctest::Approx(0.1152).epsilon(0.05));
}

TEST_CASE("accepted mean and accepted share together give the spread: (L - A)/(z + lambda)") {
  Season season = delivery_season(1);
  season.history = {book(2025, 1.50, 0.15, 1.65, 1)};
  // Closed form with one season: z from the share, lambda = phi(z)/Phi(z).
  const double z = normal_quantile(*season.history[0].qualifying_t / 600);
  CHECK((1.65 - *season.history[0].n_pct) / (z + normal_pdf(z) / normal_cdf(z)) == doctest::Approx(0.15));
  auto found = spread(season);
  CHECK_FALSE(found.from_growers);
  CHECK(found.sigma_pct == doctest::Approx(0.15).epsilon(1e-4));
  CHECK(found.se_ln == 0);  // one season has no jackknife
  season.history.push_back(book(2024, 1.58, 0.15, 1.65, 1));
  season.history.push_back(book(2023, 1.52, 0.15, 1.75, 1));
  found = spread(season);
  CHECK(found.sigma_pct == doctest::Approx(0.15).epsilon(1e-4));
  CHECK(found.seasons == 3);
  CHECK(found.se_ln == doctest::Approx(0.05).epsilon(0.01));  // they agree: only the error of other failures is left
}

TEST_CASE("other failures are taken out first, and a floor cuts too") {
  Season season = delivery_season(1);
  season.contracts[0].typical_other_failure_pct = 10;
  season.history = {book(1999, 1.50, 0.15, 1.65, 0.9)};  // a year without weather: the row's typical figure
  CHECK(spread(season).sigma_pct == doctest::Approx(0.15).epsilon(1e-4));
  season.contracts[0].typical_other_failure_pct = 0;
  CHECK(spread(season).sigma_pct > 0.165);  // failures taken for nitrogen
  season.history = {book(2025, 1.50, 0.15, 1.65, 1, 1.25)};
  CHECK(spread(season, 1.25).sigma_pct == doctest::Approx(0.15).epsilon(1e-4));
}

}  // namespace rickyard
