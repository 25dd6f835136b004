// The history table by region and season: tonnes, moisture, varieties, bases of nitrogen.
#include <doctest/doctest.h>

#include <limits>

#include "planner/base/normal.h"
#include "planner/calibration/past_deliveries.h"
#include "tests/calibration/deliveries_maker.h"

namespace rickyard {
namespace {

using testing::delivery;
using testing::delivery_season;
using testing::steady_forecast;

constexpr double kNoFloor = -std::numeric_limits<double>::infinity();

PastDeliveries read(const Season& season, std::optional<int> without = std::nullopt) {
  return past_deliveries(season, modelled_regions(season, steady_forecast(season, 2010, 17), without), without);
}

HistoryRow grower(const std::string& name, double ha, double t, double n_pct) {
  HistoryRow row = delivery("r0", 2025, ha, t);
  row.grower = name;
  row.n_pct = n_pct;
  return row;
}

}  // namespace

TEST_CASE("growers are averaged with their tonnes") {
  Season season = delivery_season(1);
  season.history = {grower("a", 10, 90, 1.40), grower("b", 30, 110, 1.70)};
  const auto past = read(season);
  REQUIRE(past.seasons.size() == 1);
  CHECK(*past.seasons[0].yield_t_ha == doctest::Approx(200.0 / 40));                                        // not (9 + 3.67)/2
  CHECK(*all_grain_n(past.seasons[0], 0.13, kNoFloor) == doctest::Approx((90 * 1.40 + 110 * 1.70) / 200));  // not 1.55
  HistoryRow silent = grower("c", 50, 0, 2.5);
  silent.delivered_t.reset();
  season.history.push_back(silent);
  const auto with_silent = read(season);
  CHECK(*all_grain_n(with_silent.seasons[0], 0.13, kNoFloor) == doctest::Approx(1.565));
  CHECK(*with_silent.seasons[0].yield_t_ha == doctest::Approx(5));
  REQUIRE(with_silent.left_out.size() == 1);
  CHECK(with_silent.left_out[0].find("without delivered_t") != std::string::npos);
  season.history[0].planted_ha.reset();
  CHECK(*read(season).seasons[0].yield_t_ha == doctest::Approx(110.0 / 30));
  CHECK(read(season).left_out[0].find("no yield") != std::string::npos);
}

TEST_CASE("yield is of harvested hectares at 14.5 % moisture") {
  Season season = delivery_season(1);
  season.contracts[0].harvested_share = 0.9;
  HistoryRow row = delivery("r0", 2025, 100, 540);
  row.moisture_pct = 18;
  season.history = {row};
  // 540 t at 18 % are 540 x 82/85.5 = 517.9 t at 14.5 %, off 90 ha.
  CHECK(*read(season).seasons[0].yield_t_ha == doctest::Approx(540 * 82 / 85.5 / 90));
}

TEST_CASE("harvested share of a region is that of its rows by hectares") {
  Season season = delivery_season(1);
  season.contracts.push_back(season.contracts[0]);
  season.contracts[1].planted_ha = 300;
  season.contracts[1].harvested_share = 0.8;
  season.history = {delivery("r0", 2025, 100, 510)};
  CHECK(*read(season).seasons[0].yield_t_ha == doctest::Approx(510 / (100 * (100 + 300 * 0.8) / 400)));
}

TEST_CASE("a variety that the history names is brought to the level of the contract rows") {
  Season season = delivery_season(1);
  season.varieties.resize(2);
  season.varieties[0].variety = "old";
  season.varieties[0].yield_factor = 0.9;
  season.varieties[0].n_offset_pct = 0.06;
  season.varieties[1].variety = "new";
  season.varieties[1].yield_factor = 1.08;
  season.contracts[0].variety = "new";
  HistoryRow row = delivery("r0", 2025, 100, 450);
  row.n_pct = 1.56;
  season.history = {row};
  CHECK(*read(season).seasons[0].yield_t_ha == doctest::Approx(4.5));  // not told: as it stands
  season.history[0].variety = "new";
  CHECK(*read(season).seasons[0].yield_t_ha == doctest::Approx(4.5));
  season.history[0].variety = "old";
  const auto past = read(season);
  CHECK(*past.seasons[0].yield_t_ha == doctest::Approx(4.5 * 1.08 / 0.9));
  CHECK(*all_grain_n(past.seasons[0], 0.13, kNoFloor) == doctest::Approx(1.50));
}

TEST_CASE("accepted nitrogen is turned back with the limit in force that year") {
  Season season = delivery_season(1);
  for (int year : {2024, 2025}) {
    HistoryRow row = delivery("r0", year, 100, 600);
    row.n_pct = 1.48;
    row.n_basis = NitrogenBasis::accepted;
    row.limit_n_pct = year == 2024 ? 1.65 : 1.75;
    season.history.push_back(row);
  }
  const auto past = read(season);
  REQUIRE(past.seasons.size() == 2);
  CHECK(*all_grain_n(past.seasons[0], 0.13, kNoFloor) == doctest::Approx(1.516).epsilon(0.0004));  // design, section 6, to 0.0005
  CHECK(*all_grain_n(past.seasons[0], 0.13, kNoFloor) == doctest::Approx(all_grain_mean(1.48, 0.13, 1.65)).epsilon(1e-10));
  CHECK(*all_grain_n(past.seasons[1], 0.13, kNoFloor) == doctest::Approx(all_grain_mean(1.48, 0.13, 1.75)).epsilon(1e-10));
  // A floor cuts from below, so all grain lies lower than without it.
  CHECK(truncated_normal_mean(*all_grain_n(past.seasons[0], 0.13, 1.20), 0.13, 1.20, 1.65) == doctest::Approx(1.48));
  CHECK(*all_grain_n(past.seasons[0], 0.13, 1.30) < *all_grain_n(past.seasons[0], 0.13, kNoFloor));
}

TEST_CASE("an accepted mean near its limit tells little: all grain is put one sigma above the limit at most") {
  NitrogenBook book{NitrogenBasis::accepted, 1.65, 1.64, 1, {}, {}};
  CHECK(*all_grain_n(book, 0.13, kNoFloor) == doctest::Approx(1.78));
  book.n_pct = 1.65;
  CHECK_FALSE(all_grain_n(book, 0.13, kNoFloor));
  book.limit_n_pct.reset();
  CHECK_FALSE(all_grain_n(book, 0.13, kNoFloor));
}

TEST_CASE("growers on different bases make books of their own, averaged by delivered tonnes") {
  Season season = delivery_season(1);
  season.history = {grower("a", 10, 60, 1.60), grower("b", 10, 40, 1.48)};
  season.history[1].n_basis = NitrogenBasis::accepted;
  season.history[1].limit_n_pct = 1.65;
  season.history[1].qualifying_t = 30;
  const auto past = read(season);
  REQUIRE(past.seasons[0].books.size() == 2);
  CHECK(*all_grain_n(past.seasons[0], 0.13, kNoFloor) == doctest::Approx(0.6 * 1.60 + 0.4 * all_grain_mean(1.48, 0.13, 1.65)));
}

TEST_CASE("a region's own row goes before its growers, and fills from them what it does not say") {
  Season season = delivery_season(1);
  season.history = {grower("a", 10, 60, 1.60), delivery("r0", 2025, 100, 500)};
  auto past = read(season);
  REQUIRE(past.seasons.size() == 1);
  CHECK(*past.seasons[0].yield_t_ha == doctest::Approx(5));
  CHECK(*all_grain_n(past.seasons[0], 0.13, kNoFloor) == doctest::Approx(1.60));
  season.history[1].n_pct = 1.45;
  past = read(season);
  CHECK(*all_grain_n(past.seasons[0], 0.13, kNoFloor) == doctest::Approx(1.45));
}

TEST_CASE("seasons to come, the year left out and regions without a contract are not read") {
  Season season = delivery_season(2);
  season.history = {delivery("r0", 2024, 100, 500), delivery("r1", 2025, 100, 500), delivery("r1", 2027, 100, 900),
                    delivery("faraway", 2025, 100, 500)};
  const auto all = read(season);
  CHECK(all.seasons.size() == 2);
  REQUIRE(all.left_out.size() == 1);
  CHECK(all.left_out[0].find("faraway") != std::string::npos);
  const auto without = read(season, 2025);
  REQUIRE(without.seasons.size() == 1);
  CHECK(without.seasons[0].crop_year == 2024);
}

}  // namespace rickyard
