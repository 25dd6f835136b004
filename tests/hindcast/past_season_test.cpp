// A season before it is known: nothing of what it brought enters its forecast; what is known on the date does.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "planner/calibration/calibrate.h"
#include "planner/crop/season_windows.h"
#include "planner/hindcast/past_season.h"
#include "planner/hindcast/season_members.h"
#include "planner/hindcast/thinned_land.h"
#include "planner/hindcast/water_store.h"
#include "tests/hindcast/hindcast_season.h"

namespace rickyard {
namespace {

HindcastWorld world_of(const Season& season, const WeatherArchive& archive = testing::hindcast_archive()) {
  HindcastWorld world{hindcast_season(season), &testing::hindcast_land(), {&archive, 1}};
  world.bases.push_back(grow_base(world.season, testing::hindcast_land(), archive, Growing{2}));
  return world;
}

void check_same(const HarvestForecast& a, const HarvestForecast& b) {
  REQUIRE(a.years == b.years);
  CHECK(a.weights == b.weights);
  for (std::size_t c = 0; c < a.contracts.size(); ++c)
    for (std::size_t i = 0; i < a.contracts[c].harvest.size(); ++i) {
      CHECK(a.contracts[c].harvest[i].yield_t_ha == b.contracts[c].harvest[i].yield_t_ha);
      CHECK(a.contracts[c].harvest[i].n_pct == b.contracts[c].harvest[i].n_pct);
      CHECK(a.contracts[c].harvest[i].other_failure == b.contracts[c].harvest[i].other_failure);
    }
}

const std::vector<std::optional<Date>> kNotSown(2);

}  // namespace

TEST_CASE("Deliveries of the scored season move neither its calibration, anchors, residual sizes nor forecast") {
  Season season = testing::hindcast_input();
  testing::add_history(season, 8);
  const auto before = past_season(world_of(season), 2009);
  for (auto& row : season.history)
    if (row.crop_year == 2009) {
      *row.delivered_t *= 0.2;
      row.n_pct = 1.64;
    }
  const auto after = past_season(world_of(season), 2009);
  CHECK(before.season.crop_year == 2009);
  for (std::size_t c = 0; c < 2; ++c) {
    CHECK(*before.season.contracts[c].yield_t_ha == *after.season.contracts[c].yield_t_ha);
    CHECK(*before.season.contracts[c].typical_n_pct == *after.season.contracts[c].typical_n_pct);
    CHECK(before.bases[0].anchors.rows[c].shift.yield_a == after.bases[0].anchors.rows[c].shift.yield_a);
  }
  CHECK(before.season.parameters["residual_scale_yield"] == after.season.parameters["residual_scale_yield"]);
  CHECK(before.season.parameters["n_sigma_farm_pct"] == after.season.parameters["n_sigma_farm_pct"]);
  CHECK(before.law.root == after.law.root);
  check_same(before.others, after.others);
  // Another season learns from it.
  CHECK(*past_season(world_of(season), 2008).season.contracts[0].yield_t_ha < *before.season.contracts[0].yield_t_ha);
}

TEST_CASE("Weather of the scored season after the date moves nothing; before it, it does") {
  const Season season = [] {
    Season s = testing::hindcast_input();
    s.start = SeasonStart::field_capacity;  // the next season begins alike, so that nothing but the season itself differs
    return s;
  }();
  WeatherArchive drought = testing::hindcast_archive();
  const auto window = season_window(season, 2007, drought);
  for (int d = 290; d <= window.carry; ++d)  // from 18 June to the evening before the next season
    for (int cell = 0; cell < 2; ++cell) drought.rain_cmm[drought.at(window.first + d, cell)] = 0;
  const auto wet_world = world_of(season), dry_world = world_of(season, drought);
  const auto wet = past_season(wet_world, 2007), dry = past_season(dry_world, 2007);
  check_same(wet.others, dry.others);
  CHECK(wet.law.root == dry.law.root);
  check_same(forecast_on(wet_world, wet, Date(2007, 6, 1), kNotSown), forecast_on(dry_world, dry, Date(2007, 6, 1), kNotSown));
  const auto wet_july = forecast_on(wet_world, wet, Date(2007, 7, 25), kNotSown),
             dry_july = forecast_on(dry_world, dry, Date(2007, 7, 25), kNotSown);
  CHECK(dry_july.contracts[0].at(0, 0).yield_t_ha < wet_july.contracts[0].at(0, 0).yield_t_ha);
  CHECK(dry.own->contracts[0].at(0, 0).yield_t_ha < wet.own->contracts[0].at(0, 0).yield_t_ha);
}

TEST_CASE("The forecast is that of a plan whose archive and history lack the later facts: same anchors, calibration and splice") {
  Season season = testing::hindcast_input();
  testing::add_history(season, 8);
  const auto world = world_of(season);
  const auto past = past_season(world, 2010);
  const auto found = forecast_on(world, past, Date(2010, 6, 1), kNotSown);
  // By the plan's own way: crop year 2010, its deliveries taken out of the history, those after it kept.
  Season plan = hindcast_season(season);
  std::erase_if(plan.history, [](const HistoryRow& row) { return row.crop_year == 2010; });
  BaseHarvest base = world.bases[0];
  base.anchors = compute_anchors(plan, testing::hindcast_land(), base.crop.records, base.crop.requests, 2010);
  auto forecast = forecast_harvest(plan, {}, testing::hindcast_land(), testing::hindcast_archive(), base, Growing{1}, Knowledge::none);
  Season in_force = calibrate(plan, forecast, 2010).season;
  in_force.crop_year = 2010;
  in_force.as_of = Date(2010, 6, 1);
  const auto own = grow_base(in_force, testing::hindcast_land(), testing::hindcast_archive(), Growing{1});  // leaves 2010 out by itself
  check_same(found, forecast_harvest(in_force, {}, testing::hindcast_land(), testing::hindcast_archive(), own, Growing{1}));
}

TEST_CASE("Water that the past begins with, held for the seasons in hand, gives the same bits as none; their records are not kept") {
  const Season season = testing::hindcast_input();
  const auto plain = world_of(season);
  WaterStore water(nullptr);
  HindcastWorld held{hindcast_season(season), &testing::hindcast_land(), {&testing::hindcast_archive(), 1}};
  Growing growing{2};
  growing.cache = &water;
  growing.land_and_weather = held.land_and_weather = "test";
  held.bases.push_back(grow_base(held.season, testing::hindcast_land(), testing::hindcast_archive(), growing));
  water.keep_records = false;
  held.water = &water;
  CHECK(water.find({"crop", "anything"}) == nullptr);
  CHECK(water.create({"crop", "anything"}, 64, 64) == nullptr);
  for (const int year : {2001, 2002, 2007, 2012}) {
    CAPTURE(year);
    const auto a = past_season(plain, year), b = past_season(held, year);
    check_same(forecast_on(plain, a, in_year({6, 1}, year), kNotSown), forecast_on(held, b, in_year({6, 1}, year), kNotSown));
  }
  auto draft = water.create({"soil", "two parts"}, 100, 64);
  CHECK(draft->bytes().size() == 100);
  draft->mark_done(0);
  CHECK_THROWS_AS(draft->finish(), std::logic_error);
  draft->mark_done(1);
  draft->bytes()[99] = std::byte{7};
  draft->finish();
  REQUIRE(water.find({"soil", "two parts"}));
  CHECK(water.find({"soil", "two parts"})->bytes()[99] == std::byte{7});
}

TEST_CASE("A sowing date of the season counts once it is past") {
  const auto world = world_of(testing::hindcast_input());
  const auto past = past_season(world, 2005);
  const std::vector<std::optional<Date>> late = {Date(2005, 4, 28), std::nullopt};
  const auto april = forecast_on(world, past, Date(2005, 4, 20), late), without = forecast_on(world, past, Date(2005, 4, 20), kNotSown);
  check_same(april, without);
  const auto may = forecast_on(world, past, Date(2005, 5, 1), late);
  CHECK(may.contracts[0].dates[0].sown == season_day(world.season, may.years[0], {4, 28}));
}

TEST_CASE("Area, limit and variety of that season: tonnes in proportion, less under a lower limit, N moved") {
  const auto world = world_of(testing::hindcast_input());
  const auto past = past_season(world, 2005);
  const auto as_now = season_members(past.season, past.others, past.law, {{}, {}}, 6);
  const auto then = season_members(past.season, past.others, past.law, {{1.5, 0, std::nullopt}, {1, 0.05, 1.55}}, 6);
  for (std::size_t m = 0; m < as_now.weights.size(); ++m) {
    CHECK(then.regions[0].offered_t[m] == doctest::Approx(1.5 * as_now.regions[0].offered_t[m]).epsilon(1e-12));
    CHECK(then.regions[0].qualifying_t[m] == doctest::Approx(1.5 * as_now.regions[0].qualifying_t[m]).epsilon(1e-12));
    CHECK(then.regions[1].offered_t[m] == doctest::Approx(as_now.regions[1].offered_t[m]).epsilon(1e-12));
    CHECK(then.regions[1].qualifying_t[m] < as_now.regions[1].qualifying_t[m]);
    CHECK(then.regions[1].n_pct[m] == doctest::Approx(as_now.regions[1].n_pct[m] + 0.05).epsilon(1e-12));
  }
  double weight = 0;
  for (double w : as_now.weights) weight += w;
  CHECK(weight == doctest::Approx(1).epsilon(1e-12));
}

TEST_CASE("A thinned region keeps its hectares and means; one unit drawn twice counts twice; few units stay") {
  Land land;
  land.soils = {testing::soil_of(0.7, 0.1), testing::soil_of(0.3, 0.2)};
  land.regions.resize(2);
  double ha = 0, mean = 0;
  for (int u = 0; u < 1000; ++u) {
    land.units.push_back({u, u % 10 == 0 ? 1 : 0});
    land.regions[0].units.push_back({u, 1.0 + u % 9});
    ha += 1 + u % 9;
    mean += (1 + u % 9) * std::sin(0.01 * u);
  }
  land.regions[1].units = {{3, 50}, {4, 1}};
  const Land few = thinned_land(land, 50);
  REQUIRE(few.regions[0].units.size() == 50);
  double few_ha = 0, few_mean = 0;
  for (const auto& share : few.regions[0].units) {
    few_ha += share.ha;
    few_mean += share.ha * std::sin(0.01 * share.unit);
  }
  // Each soil has its share of the fifty.
  double deep_ha = 0, few_deep_ha = 0;
  for (const auto& share : land.regions[0].units) deep_ha += share.unit % 10 == 0 ? share.ha : 0;
  for (const auto& share : few.regions[0].units) few_deep_ha += share.unit % 10 == 0 ? share.ha : 0;
  CHECK(std::abs(few_deep_ha - deep_ha) <= ha / 50);
  CHECK(few_ha == doctest::Approx(ha).epsilon(1e-12));
  CHECK(few_mean / few_ha == doctest::Approx(mean / ha).epsilon(0.01));
  CHECK(std::is_sorted(few.regions[0].units.begin(), few.regions[0].units.end(), [](auto& a, auto& b) { return a.unit < b.unit; }));
  CHECK(few.regions[1].units.size() == 2);
  CHECK(thinned_land(land, 0).regions[0].units.size() == 1000);
  land.regions[1].units = {{3, 90}, {4, 5}, {5, 5}};
  const auto two = thinned_land(land, 2).regions[1].units;
  REQUIRE(two.size() == 1);
  CHECK(two[0].unit == 3);
  CHECK(two[0].ha == 100);
}

}  // namespace rickyard
