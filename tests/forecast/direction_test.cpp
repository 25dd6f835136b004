// Direction and size of every driver on one loam cell at 56 N over thirty generated years, paired by year, at default parameters. The bands
// are those of the trade notes (section 3: derived or judgement) unless a test says otherwise.
#include <doctest/doctest.h>

#include <functional>

#include "planner/crop/crop_run.h"
#include "planner/crop/season_windows.h"
#include "planner/quality/forecast_harvest.h"
#include "tests/forecast/islands.h"

namespace rickyard {
namespace {

using testing::contract;
using testing::island_land;
using testing::islands;
using testing::make_season;

constexpr int kYears = 30;

Season loam_season() {
  Season season = make_season();
  season.contracts = {contract("A", 100, 6.0, 1.48)};
  return season;
}

// One region, all of it on the loam unit of the 800 mm cell.
const Land& loam_land() {
  static const Land land = [] {
    Land one = island_land();
    one.regions.resize(1);
    one.regions[0].id = "A";
    one.regions[0].units = {{0, 1000}};
    return one;
  }();
  return land;
}

const BaseHarvest& base() {
  static const BaseHarvest grown = grow_base(loam_season(), loam_land(), islands(), Growing{1});
  return grown;
}

// Means over the thirty years, plain.
struct Means {
  double yield = 0, n = 0, screenings = 0, failure = 0, sown = 0;
};

Means means_of(const HarvestForecast& forecast) {
  REQUIRE(forecast.years.size() == kYears);
  Means m;
  for (int y = 0; y < kYears; ++y) {
    const auto& grain = forecast.contracts[0].at(y, 0);
    m.yield += grain.yield_t_ha / kYears;
    m.n += grain.n_pct / kYears;
    m.screenings += std::exp(grain.ln_screenings) / kYears;
    m.failure += 100 * grain.germination_failure / kYears;
    m.sown += forecast.contracts[0].dates[static_cast<std::size_t>(y)].sown / kYears;
  }
  return m;
}

Means unchanged() { return means_of(forecast_harvest(loam_season(), {}, loam_land(), islands(), base(), Growing{1})); }
Means under(const SeasonPatch& patch, const Season& season = loam_season()) {
  return means_of(forecast_harvest(season, patch, loam_land(), islands(), base(), Growing{1}));
}

// The same years in other weather, held against the anchors of the unchanged archive.
Means in_weather(const WeatherArchive& archive) {
  const auto changed = grow_base(loam_season(), loam_land(), archive, Growing{1});
  const BaseHarvest mixed{base().harvest_factors, changed.crop, base().anchors};
  return means_of(forecast_harvest(loam_season(), {}, loam_land(), archive, mixed, Growing{1}));
}

// Changes days around each year's ripeness in the unchanged archive: from..to, counted from the day of ripeness of the middle part.
using DayChange = std::function<void(WeatherArchive&, int day, int since_ripe)>;
WeatherArchive around_ripeness(int from, int to, const DayChange& change) {
  WeatherArchive archive = islands();
  const auto& crop = base().crop;
  for (int y = 0; y < kYears; ++y) {
    const auto window = season_window(loam_season(), crop.records.harvest_years[static_cast<std::size_t>(y)], archive);
    const int ripe = crop.records.at(crop.rows[0].runs[1], y, crop.rows[0].places[1]).ripe;
    for (int d = from; d <= to; ++d) change(archive, window.first + ripe + d, d);
  }
  return archive;
}

std::uint16_t& rain(WeatherArchive& archive, int day) { return archive.rain_cmm[archive.at(day, 0)]; }

SeasonPatch dry_spring() {
  SeasonPatch patch;
  patch.rain_factor[3] = patch.rain_factor[4] = 0.3;
  return patch;
}

Means dry_fill() {
  return in_weather(around_ripeness(-42, -1, [](WeatherArchive& archive, int day, int) {
    rain(archive, day) = static_cast<std::uint16_t>(std::lround(0.2 * rain(archive, day)));
  }));
}

}  // namespace

TEST_CASE("Early drought: rain x 0.3 in April and May raises N by 0.03 to 0.20 and screenings by under 2 points (bold, high-N grain)") {
  const auto before = unchanged(), after = under(dry_spring());
  MESSAGE("N ", after.n - before.n, ", screenings ", after.screenings - before.screenings, ", yield ", after.yield / before.yield - 1);
  CHECK(after.n - before.n > 0.03);
  CHECK(after.n - before.n < 0.20);
  CHECK(after.screenings - before.screenings < 2);
  CHECK(after.yield < before.yield);
}

TEST_CASE("Late drought: rain x 0.2 in the six weeks before ripeness takes 5 to 30 % of the yield and makes thin grain") {
  const auto before = unchanged(), after = dry_fill(), spring = under(dry_spring());
  MESSAGE("yield ", after.yield / before.yield - 1, ", screenings ", after.screenings - before.screenings, ", N ", after.n - before.n);
  CHECK(after.yield / before.yield - 1 < -0.05);
  CHECK(after.yield / before.yield - 1 > -0.30);
  CHECK(after.screenings - before.screenings >= 3);
  CHECK(after.screenings - before.screenings >= 2 * (spring.screenings - before.screenings));
}

TEST_CASE("Wet harvest: 60 mm over the 10 days after ripeness fails 5 to 20 points more grain and leaves N alone") {
  const auto before = unchanged();
  const auto after = in_weather(around_ripeness(1, 10, [](WeatherArchive& archive, int day, int) { rain(archive, day) = 600; }));
  MESSAGE("failure ", after.failure - before.failure, ", N ", after.n - before.n);
  CHECK(after.failure - before.failure > 5);
  CHECK(after.failure - before.failure < 20);
  CHECK(std::abs(after.n - before.n) < 0.01);
}

TEST_CASE("Nitrogen rate: 30 kg/ha more raises N by 0.100 (handbook rule)") {
  Season season = loam_season();
  const double reference = season.parameters["n_rate_reference_kg_ha"];
  season.contracts[0].n_rate_kg_ha = reference + 30;
  const auto grown = grow_base(season, loam_land(), islands(), Growing{1});
  const auto after = means_of(forecast_harvest(season, {}, loam_land(), islands(), grown, Growing{1}));
  CHECK(after.n - unchanged().n == doctest::Approx(0.1).epsilon(1e-9));
}

TEST_CASE("Heat: 4 C more over 10 days in the middle of grain fill makes thin grain and lowers the yield") {
  const auto before = unchanged();
  const auto after = in_weather(around_ripeness(-25, -16, [](WeatherArchive& archive, int day, int) {
    archive.tmin_cc[archive.at(day, 0)] = static_cast<std::int16_t>(archive.tmin_cc[archive.at(day, 0)] + 400);
    archive.tmax_cc[archive.at(day, 0)] = static_cast<std::int16_t>(archive.tmax_cc[archive.at(day, 0)] + 400);
  }));
  MESSAGE("yield ", after.yield / before.yield - 1, ", screenings ", after.screenings - before.screenings);
  CHECK(after.screenings > before.screenings);
  CHECK(after.yield < before.yield);
}

TEST_CASE(
    "Waiting: drilling planned three weeks later costs 0.15 to 0.6 % of the yield for each day sown later and raises N by 0.02 to 0.07 a "
    "week") {
  SeasonPatch later;
  later.sowing_shift_days = 21;
  const auto before = unchanged(), after = under(later);
  const double days = after.sown - before.sown;
  MESSAGE("days sown later ", days, ", yield per day ", 100 * (after.yield / before.yield - 1) / days, " %, N per week ",
          7 * (after.n - before.n) / days);
  CHECK(days > 10);
  CHECK(1 - after.yield / before.yield > 0.0015 * days);
  CHECK(1 - after.yield / before.yield < 0.006 * days);
  CHECK(7 * (after.n - before.n) / days > 0.02);
  CHECK(7 * (after.n - before.n) / days < 0.07);
}

TEST_CASE("One degree warmer all season takes 3 to 7 % of the yield with no day over the heat threshold (published 4.1 to 5.7)") {
  SeasonPatch warm;
  warm.temperature_shift_c = 1;
  Season season = loam_season();
  season.parameters.set("heat_threshold_c", 40);
  const auto cool = grow_base(season, loam_land(), islands(), Growing{1});
  const auto before = means_of(forecast_harvest(season, {}, loam_land(), islands(), cool, Growing{1}));
  const auto after = means_of(forecast_harvest(season, warm, loam_land(), islands(), cool, Growing{1}));
  MESSAGE("yield ", after.yield / before.yield - 1);
  CHECK(1 - after.yield / before.yield > 0.03);
  CHECK(1 - after.yield / before.yield < 0.07);
}

}  // namespace rickyard
