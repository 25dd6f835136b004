// The range through the year: two hundred generated seasons, each left out in turn and forecast from the others on 1 March and on 1 June
// with its own weather up to that day. What "happened" is drawn from the model itself, so this checks the code (splicing, leaving out,
// residual sizes, quantiles), not anybody's skill.
#include <doctest/doctest.h>

#include <algorithm>
#include <utility>

#include "planner/base/range.h"
#include "planner/base/scores.h"
#include "planner/crop/season_windows.h"
#include "planner/quality/forecast_harvest.h"
#include "planner/quality/season_in_hand.h"
#include "planner/supply/parameters.h"
#include "planner/supply/residual.h"
#include "tests/forecast/season_maker.h"
#include "tests/forecast/weather_maker.h"

namespace rickyard {
namespace {

constexpr int kFirst = 1701, kYears = 200;
constexpr int kDraws = 4;

const WeatherArchive& long_archive() {
  static const WeatherArchive archive = [] {
    testing::Climate climate;
    climate.slow_share = 0;  // no memory beyond days: other years' remainders are as good as its own
    return testing::make_archive({climate}, Date(kFirst - 1, 9, 1), Date(kFirst + kYears - 1, 12, 31), 11);
  }();
  return archive;
}

const Land& one_field() {
  static const Land land = [] {
    Land one = testing::make_land(1, {testing::soil_of(0.40, 0.20)});
    one.regions.resize(1);
    one.regions[0].id = "A";
    one.regions[0].units = {{0, 1000}};
    return one;
  }();
  return land;
}

Season season_of(int crop_year, const Date& as_of) {
  std::vector<ParameterSpec> table = testing::parameter_table();
  for (const auto& spec : supply_parameters()) table.push_back(spec);
  Season season{ParameterSet(table)};
  season.parameters.set("drilling_parts", 1);
  season.crop_year = crop_year;
  season.as_of = as_of;
  season.contracts = {testing::contract("A", 100, 6.0, 1.48)};
  season.contracts[0].sow_planned = in_year({3, 31}, crop_year);
  season.contracts[0].sow_latest = in_year({4, 30}, crop_year);
  return season;
}

// Every season of the archive grown once; the left-out one is taken off before anything is made of them.
const BaseHarvest& all_years() {
  static const BaseHarvest base = grow_base(season_of(1690, Date(1690, 1, 1)), one_field(), long_archive(), Growing{2});
  return base;
}

BaseHarvest without(const Season& season) {
  BaseHarvest base = all_years();
  leave_out_year(base.crop.records, season.crop_year);
  base.anchors = compute_anchors(season, one_field(), base.crop.records, base.crop.requests);
  return base;
}

double yield_factor(const ResidualModel& residual, int year, int draw) {
  ResidualDraw drawn;
  draw_residual(residual, 7, year, draw, drawn);
  return drawn.yield_factor[0];
}

struct Outcome {
  double low = 0, high = 0, crps = 0, observed = 0;
  bool hit() const { return observed >= low && observed <= high; }
};

Outcome forecast_on(int year, int month) {
  const Season season = season_of(year, in_year({month, 1}, year));
  const BaseHarvest base = without(season);
  const auto past = forecast_harvest(season, {}, one_field(), long_archive(), base, Growing{2}, Knowledge::none);
  const auto now = forecast_harvest(season, {}, one_field(), long_archive(), base, Growing{2});
  REQUIRE(now.years.size() == kYears - 1);
  const auto residual = residual_model(season, past);
  std::vector<double> yields, weights;
  for (std::size_t y = 0; y < now.years.size(); ++y)
    for (int draw = 0; draw < kDraws; ++draw) {
      yields.push_back(now.contracts[0].at(static_cast<int>(y), 0).yield_t_ha * yield_factor(residual, now.years[y], draw));
      weights.push_back(now.weights[y] / kDraws);
    }
  const auto& records = all_years().crop.records;
  const auto& row = base.crop.rows[0];
  const auto& grown = records.at(row.runs[0], year - kFirst, row.places[0]);
  Outcome out;
  out.observed = base.anchors.rows[0].shift.yield_a * grown.relative_yield * yield_factor(residual, year, 0);
  out.low = weighted_quantile(yields, weights, 0.1);
  out.high = weighted_quantile(yields, weights, 0.9);
  out.crps = crps(yields, weights, out.observed);
  return out;
}

}  // namespace

TEST_CASE("Left out in turn, 200 seasons lie inside P10 to P90 as often as they should, on 1 March and on 1 June, and June knows more") {
  int march_hits = 0, june_hits = 0, narrower = 0;
  double march_crps = 0, june_crps = 0;
  for (int year = kFirst; year < kFirst + kYears; ++year) {
    const auto march = forecast_on(year, 3), june = forecast_on(year, 6);
    march_hits += march.hit();
    june_hits += june.hit();
    narrower += june.high - june.low < march.high - march.low;
    march_crps += march.crps / kYears;
    june_crps += june.crps / kYears;
  }
  MESSAGE("hits ", march_hits, " and ", june_hits, ", CRPS ", march_crps, " and ", june_crps, " t/ha, narrower in ", narrower);
  // The exact binomial 99 % band of 200 trials at 0.8 (design, section on hindcasts).
  CHECK(march_hits >= 145);
  CHECK(march_hits <= 175);
  CHECK(june_hits >= 145);
  CHECK(june_hits <= 175);
  CHECK(june_crps < march_crps);
  CHECK(narrower >= 160);
}

TEST_CASE("A left-out season moves neither anchors, terciles, residual sizes nor the forecast, whatever its weather was") {
  const int year = kFirst + 100;
  const Season season = season_of(year, in_year({8, 31}, year - 1));  // nothing of its weather is known

  WeatherArchive drought = long_archive();  // its spring and summer without a drop of rain
  const auto window = season_window(season, year, drought);
  for (int d = 200; d < 330; ++d) drought.rain_cmm[drought.at(window.first + d, 0)] = 0;
  // The next season begins at field capacity either way, so that nothing but the season itself differs.
  Season at_capacity = season;
  at_capacity.start = SeasonStart::field_capacity;
  const auto run = [&](const WeatherArchive& archive) {
    const auto base = grow_base(at_capacity, one_field(), archive, Growing{1});
    auto forecast = forecast_harvest(at_capacity, {}, one_field(), archive, base, Growing{1});
    return std::pair{std::move(forecast), base.anchors.rows[0]};
  };
  const auto [as_it_was, anchor] = run(long_archive());
  const auto [dry, dry_anchor] = run(drought);
  CHECK(std::find(as_it_was.years.begin(), as_it_was.years.end(), year) == as_it_was.years.end());
  CHECK(anchor.shift.yield_a == dry_anchor.shift.yield_a);
  CHECK(anchor.shift.n_shift_pct == dry_anchor.shift.n_shift_pct);
  CHECK(anchor.shift.ln_screenings_shift == dry_anchor.shift.ln_screenings_shift);
  CHECK(as_it_was.rain_apr_jul_mm == dry.rain_apr_jul_mm);
  CHECK(as_it_was.weights == dry.weights);
  CHECK(residual_model(at_capacity, as_it_was).root == residual_model(at_capacity, dry).root);
  for (std::size_t y = 0; y < as_it_was.years.size(); ++y)
    CHECK(as_it_was.contracts[0].at(static_cast<int>(y), 0).yield_t_ha == dry.contracts[0].at(static_cast<int>(y), 0).yield_t_ha);
  // Once its weather is known the drought shows.
  at_capacity.as_of = in_year({7, 20}, year);
  CHECK(run(drought).first.contracts[0].at(0, 0).yield_t_ha < run(long_archive()).first.contracts[0].at(0, 0).yield_t_ha);
}

}  // namespace rickyard
