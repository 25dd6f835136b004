// Several draws of daily rain as scenarios: what they share, what they change, what their anchors are.
#include <doctest/doctest.h>

#include <cmath>
#include <numeric>

#include "planner/quality/select_years.h"
#include "planner/quality/variants.h"
#include "planner/supply/make_scenarios.h"
#include "planner/weather/disaggregate.h"
#include "tests/forecast/weather_maker.h"
#include "tests/supply/book_w.h"
#include "tests/supply/weather_forecast.h"

using namespace rickyard;
using rickyard::test::weather_forecast;

namespace {

// The same forecast one variant at a time.
std::vector<HarvestForecast> split(const HarvestForecast& merged) {
  std::vector<HarvestForecast> out;
  for (int v = 0; v < merged.variants; ++v) {
    HarvestForecast one = merged;
    one.variants = 1;
    for (auto& row : one.contracts) {
      const auto size = static_cast<std::ptrdiff_t>(row.years() * row.units.size());
      row.harvest = {row.harvest.begin() + v * size, row.harvest.begin() + (v + 1) * size};
      row.variants = 1;
    }
    out.push_back(one);
  }
  return out;
}

}  // namespace

TEST_CASE("Forecasts of one variant each are put together and stay what they were") {
  Season season = test::book_w();
  season.backups.resize(1);
  auto whole = weather_forecast(season, 6, 3);
  auto parts = split(whole);
  for (std::size_t v = 0; v < 3; ++v) {
    parts[v].rain_mm.assign(6, 800 + static_cast<double>(v));
    for (std::size_t y = 0; y < 6; ++y) parts[v].contracts[1].dates[y].harvested = v == 0 ? -1 : 350 + static_cast<double>(v);
    parts[v].contracts[0].losses.assign(6, {});
    for (auto& losses : parts[v].contracts[0].losses) losses.water = 0.1 * static_cast<double>(v);
    parts[v].backup_yield_factor = {std::vector<double>(6, 1 + 0.1 * static_cast<double>(v))};
  }
  const auto merged = merge_variants(parts);
  CHECK(merged.variants == 3);
  CHECK(merged.years == whole.years);
  CHECK(merged.weights == whole.weights);
  for (int v = 0; v < 3; ++v)
    for (int y = 0; y < 6; ++y)
      for (int k = 0; k < 2; ++k) {
        CHECK(merged.contracts[2].at(y, k, v).yield_t_ha == parts[static_cast<std::size_t>(v)].contracts[2].at(y, k).yield_t_ha);
        CHECK(merged.contracts[2].at(y, k, v).n_pct == whole.contracts[2].at(y, k, v).n_pct);
      }
  CHECK(merged.rain_mm[0] == doctest::Approx(801));
  CHECK(merged.contracts[0].losses[2].water == doctest::Approx(0.1));
  CHECK(merged.contracts[1].dates[0].harvested == doctest::Approx(351.5));  // of the two variants that reached it
  CHECK(merged.backup_yield_factor[0].size() == 18);
  SUBCASE("keeping some years keeps them in every variant") {
    const auto two = select_years(merged, {1991, 1994});
    CHECK(two.years == std::vector<int>{1991, 1994});
    for (int v = 0; v < 3; ++v) CHECK(two.contracts[3].at(1, 1, v).n_pct == merged.contracts[3].at(4, 1, v).n_pct);
    CHECK(two.backup_yield_factor[0] == std::vector<double>{1, 1, 1.1, 1.1, 1.2, 1.2});
  }
  SUBCASE("forecasts that do not fit are refused") {
    auto other = parts;
    other[1].years[2] = 2050;
    CHECK_THROWS_AS(merge_variants(other), std::invalid_argument);
    other = parts;
    other[2].contracts.pop_back();
    CHECK_THROWS_AS(merge_variants(other), std::invalid_argument);
    CHECK_THROWS_AS(merge_variants({}), std::invalid_argument);
    CHECK_THROWS_AS(merge_variants({merged, merged}), std::invalid_argument);
  }
}

TEST_CASE("Scenarios walk through the variants: weights sum to one, year weights stay, every variant counts the same") {
  Season season = test::book_w();
  season.parameters.set("supply_draws_per_year", 40);
  season.backups.resize(1);
  season.backups[0].cap_t_month = 100;
  auto forecast = weather_forecast(season, 6, 4);
  forecast.weights = {0.3, 0.1, 0.1, 0.1, 0.2, 0.2};
  for (int v = 0; v < 4; ++v)
    for (int y = 0; y < 6; ++y) forecast.backup_yield_factor[0].push_back(1 + 0.1 * v);
  const auto supply = make_scenarios(season, {}, forecast, 2, nullptr);
  double sum = 0;
  std::vector<double> of_year(6, 0), of_variant(4, 0);
  for (const auto& s : supply.scenarios) {
    sum += s.weight;
    of_year[static_cast<std::size_t>(s.year)] += s.weight;
    const auto variant = static_cast<std::size_t>(std::lround(10 * (s.backups[0].cap_factor - 1)));  // a simulated backup shows its variant
    of_variant[variant] += s.weight;
    CHECK(static_cast<int>(variant) == variant_of(supply.years[static_cast<std::size_t>(s.year)], s.draw, 4));
    if (s.draw % 2 == 1) continue;
    const auto& odd = supply.scenarios[static_cast<std::size_t>(&s - supply.scenarios.data()) + 1];
    CHECK(odd.backups[0].cap_factor == s.backups[0].cap_factor);  // both draws of an antithetic pair
  }
  CHECK(sum == doctest::Approx(1).epsilon(1e-12));
  for (std::size_t y = 0; y < 6; ++y) CHECK(of_year[y] == doctest::Approx(forecast.weights[y]).epsilon(1e-12));
  for (double weight : of_variant) CHECK(weight == doctest::Approx(0.25).epsilon(1e-12));
  SUBCASE("without residuals a scenario is its variant's grain") {
    for (const char* name : {"residual_scale_yield", "residual_scale_n"}) season.parameters.set(name, 0);
    const auto bare = make_scenarios(season, {}, forecast, 2, nullptr);
    for (const auto& s : bare.scenarios) {
      const int v = variant_of(bare.years[static_cast<std::size_t>(s.year)], s.draw, 4);
      const auto& row = forecast.contracts[2];
      const double t_ha = 0.25 * row.at(s.year, 0, v).yield_t_ha + 0.75 * row.at(s.year, 1, v).yield_t_ha;
      CHECK(s.contracts[2].yield_t_ha == doctest::Approx(t_ha).epsilon(1e-9));
    }
  }
  SUBCASE("the few draws of the programme meet every variant, over the years") {
    std::vector<int> met(4, 0);
    for (const auto& s : supply.scenarios)
      if (s.in_programme) ++met[static_cast<std::size_t>(variant_of(supply.years[static_cast<std::size_t>(s.year)], s.draw, 4))];
    for (int n : met) CHECK(n > 0);
  }
  SUBCASE("the model's spread counts years and variants alike") {
    // Four copies of one variant: the spread of one.
    auto parts = split(forecast);
    for (auto& part : parts) part.backup_yield_factor.assign(1, {});
    const auto one = residual_model(season, parts[1]),
               four = residual_model(season, merge_variants({parts[1], parts[1], parts[1], parts[1]}));
    for (std::size_t i = 0; i < 8; ++i) CHECK(four.model_sd[i] == doctest::Approx(one.model_sd[i]).epsilon(1e-12));
  }
}

TEST_CASE("Monthly weather, drawn four times: the user's own yield is the mean over all draws, and rain per month stays") {
  // One wet cell near 56 N, twelve years by month, one contract row.
  MonthlyArchive monthly;
  monthly.cells = 1;
  monthly.months = 12 * 13;
  monthly.first_month = {1990, 9};
  std::mt19937_64 engine(5);
  for (int m = 0; m < monthly.months; ++m) {
    const double winter = std::cos(2 * std::numbers::pi * ((m + 8) % 12) / 12.0);
    monthly.rain_mm.push_back(75 * (0.4 + 1.2 * testing::uniform(engine)));
    monthly.tmin_c.push_back(5 - 5 * winter);
    monthly.tmax_c.push_back(12.5 - 6.5 * winter);
  }
  const auto land = testing::make_land(1, {testing::soil_of(0.60, 0.12)});
  Season season = test::book_w();
  season.model = ForecastModel::daily;
  season.contracts.resize(1);
  season.contracts[0].region = land.regions[0].id;
  season.contracts[0].yield_t_ha = 6.1;
  std::vector<WeatherArchive> archives;
  std::vector<BaseHarvest> bases;
  std::vector<HarvestForecast> forecasts;
  for (int v = 0; v < 4; ++v) {
    archives.push_back(disaggregate(monthly, land, season, v));
    bases.push_back(grow_base(season, land, archives.back(), Growing{1}));
  }
  const double alone = bases[0].anchors.rows[0].shift.yield_a;
  share_anchors(season, land, bases);
  for (int v = 0; v < 4; ++v) {
    CHECK(std::accumulate(archives[static_cast<std::size_t>(v)].rain_cmm.begin(), archives[static_cast<std::size_t>(v)].rain_cmm.end(),
                          0LL) == std::accumulate(archives[0].rain_cmm.begin(), archives[0].rain_cmm.end(), 0LL));
    forecasts.push_back(
        forecast_harvest(season, {}, land, archives[static_cast<std::size_t>(v)], bases[static_cast<std::size_t>(v)], Growing{1}));
  }
  const auto merged = merge_variants(forecasts);
  const auto& row = merged.contracts[0];
  double yield = 0, one = 0;
  for (int v = 0; v < 4; ++v)
    for (std::size_t y = 0; y < merged.years.size(); ++y)
      for (std::size_t k = 0; k < row.units.size(); ++k) {
        const double t_ha =
            row.share[k] * row.at(static_cast<int>(y), static_cast<int>(k), v).yield_t_ha / static_cast<double>(merged.years.size());
        yield += t_ha / 4;
        one += v == 0 ? t_ha : 0;
      }
  CHECK(yield == doctest::Approx(6.1).epsilon(1e-9));
  CHECK(std::abs(one - 6.1) > 1e-4);  // the draws matter: one alone would not be the user's figure under the shared anchor
  CHECK(bases[3].anchors.rows[0].shift.yield_a == bases[0].anchors.rows[0].shift.yield_a);
  CHECK(alone != bases[0].anchors.rows[0].shift.yield_a);

  // A figure that changes later, as calibration does, moves the anchors of one base alone and of all.
  Season calibrated = season;
  calibrated.contracts[0].yield_t_ha = 6.71;  // a tenth more
  const double before = bases[0].anchors.rows[0].shift.yield_a;
  std::vector<BaseHarvest> single = {bases[2]};
  share_anchors(season, land, single);
  const double of_one = single[0].anchors.rows[0].shift.yield_a;
  share_anchors(calibrated, land, single);
  share_anchors(calibrated, land, bases);
  CHECK(single[0].anchors.rows[0].shift.yield_a == doctest::Approx(1.1 * of_one).epsilon(1e-12));
  CHECK(bases[1].anchors.rows[0].shift.yield_a == doctest::Approx(1.1 * before).epsilon(1e-12));
}
