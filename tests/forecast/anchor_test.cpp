// Anchors and the forecast of a season with weather (design: anchors come from the unmodified archive and nothing moves them).
#include <doctest/doctest.h>

#include <cmath>

#include "planner/base/problem.h"
#include "planner/crop/crop_run.h"
#include "planner/quality/anchors.h"
#include "planner/quality/bands.h"
#include "planner/quality/forecast_harvest.h"
#include "planner/quality/select_years.h"
#include "planner/quality/usual_harvest.h"
#include "tests/forecast/islands.h"
#include "tests/forecast/season_maker.h"
#include "tests/forecast/weather_maker.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }

Season island_season() {
  auto season = make_season();
  season.contracts = {contract("A", 500, 6.0, 1.48), contract("B", 300, 5.5, 1.45), contract("C", 400, 6.3, 1.52)};
  season.contracts[1].typical_screenings_pct = 3;
  BackupRow neighbour, merchant;
  neighbour.source = "neighbour";
  neighbour.region = "C";
  merchant.source = "merchant";
  season.backups = {merchant, neighbour};
  return season;
}

HarvestForecast forecast(const SeasonPatch& patch = {}, const Season& season = island_season(), int threads = 1) {
  return forecast_harvest(season, patch, island_land(), islands(), Growing{threads});
}

// Means over years and units: yield by hectares, the rest by tonnes.
struct Means {
  double yield = 0, n = 0, ln_screenings = 0, passed = 0;
};

Means means_of(const HarvestForecast& f, std::size_t row) {
  const auto& c = f.contracts[row];
  Means m;
  double tonnes = 0;
  for (std::size_t y = 0; y < f.years.size(); ++y)
    for (std::size_t k = 0; k < c.units.size(); ++k) {
      const auto& g = c.at(static_cast<int>(y), static_cast<int>(k));
      const double t = c.share[k] * g.yield_t_ha, share = c.share[k] / static_cast<double>(f.years.size());
      m.yield += share * g.yield_t_ha;
      tonnes += t;
      m.n += t * g.n_pct;
      m.ln_screenings += t * g.ln_screenings;
      m.passed += t * (1 - screenings_failure(g.ln_screenings, 0.35, std::log(10))) * (1 - g.germination_failure) * (1 - g.other_failure);
    }
  m.n /= tonnes;
  m.ln_screenings /= tonnes;
  m.passed /= tonnes;
  return m;
}

double mean_yield(const HarvestForecast& f) {
  return (500 * means_of(f, 0).yield + 300 * means_of(f, 1).yield + 400 * means_of(f, 2).yield) / 1200;
}

bool same_bits(const HarvestForecast& a, const HarvestForecast& b) {
  for (std::size_t c = 0; c < a.contracts.size(); ++c)
    for (std::size_t i = 0; i < a.contracts[c].harvest.size(); ++i) {
      const auto &x = a.contracts[c].harvest[i], &y = b.contracts[c].harvest[i];
      if (x.yield_t_ha != y.yield_t_ha || x.n_pct != y.n_pct || x.ln_screenings != y.ln_screenings ||
          x.germination_failure != y.germination_failure || x.other_failure != y.other_failure)
        return false;
    }
  return a.weights == b.weights && a.rain_mm == b.rain_mm && a.backup_yield_factor == b.backup_yield_factor;
}

}  // namespace

TEST_CASE("Anchored means are the user's own figures: yield, N, screenings, other failures") {
  auto season = island_season();
  for (auto& row : season.contracts) row.typical_other_failure_pct = 12;  // room for the thin grain of dry years
  const auto f = forecast({}, season);
  const double yield[] = {6.0, 5.5, 6.3}, n[] = {1.48, 1.45, 1.52}, screenings[] = {4, 3, 4};
  for (std::size_t row = 0; row < 3; ++row) {
    CAPTURE(row);
    const auto m = means_of(f, row);
    CHECK(within(m.yield, yield[row], 1e-9));
    CHECK(within(m.n, n[row], 1e-9));
    CHECK(within(m.ln_screenings, std::log(screenings[row]), 1e-9));
    CHECK(within(m.passed, 0.88, 1e-9));  // 12 % fail on any point but N
    double share = 0;
    for (double s : f.contracts[row].share) share += s;
    CHECK(within(share, 1, 1e-12));
  }
  CHECK(f.years.size() == 30);
  CHECK(f.from_weather);
}

TEST_CASE("Where weather alone fails more than the typical share, points that growers are used to come off") {
  auto season = island_season();
  season.contracts[0].typical_other_failure_pct = 50;  // more than any weather
  const auto f = forecast({}, season);
  CHECK(f.contracts[0].anchor.germination_held_points == 0);
  CHECK(f.contracts[1].anchor.germination_held_points > 0);  // the wet windward row
  CHECK(f.contracts[1].anchor.germination_held_points < 20);
  CHECK(f.contracts[1].at(0, 0).other_failure == doctest::Approx(0).epsilon(1e-9));
}

TEST_CASE("Units keep their differences, years theirs") {
  const auto f = forecast();
  const auto& c = f.contracts[2];
  CHECK(c.at(0, 0).yield_t_ha != c.at(0, 1).yield_t_ha);
  CHECK(c.at(0, 0).yield_t_ha != c.at(1, 0).yield_t_ha);
}

TEST_CASE("All factors 1 equals the base bit for bit") {
  SeasonPatch ones;
  ones.name = "same";
  CHECK(same_bits(forecast(), forecast(ones)));
}

TEST_CASE("Half the rain of June and July lowers the mean yield") {
  SeasonPatch dry;
  dry.rain_factor[5] = dry.rain_factor[6] = 0.5;
  const auto base = forecast(), drier = forecast(dry);
  CHECK(mean_yield(drier) < mean_yield(base));
  CHECK(drier.rain_mm[0] < base.rain_mm[0]);
  CHECK(drier.contracts[0].anchor.yield_a == base.contracts[0].anchor.yield_a);
  CHECK(drier.contracts[0].anchor.n_shift_pct == base.contracts[0].anchor.n_shift_pct);
  CHECK(means_of(drier, 2).n > means_of(base, 2).n);  // less water, more N at k 0.5
  CHECK(means_of(drier, 2).ln_screenings > means_of(base, 2).ln_screenings);
  CHECK(drier.backup_yield_factor[1][0] < base.backup_yield_factor[1][0]);
}

TEST_CASE("Planned date 21 days later lowers the mean yield and moves no anchor; N rises 0.02 to 0.07 a week on loam") {
  SeasonPatch later;
  later.sowing_shift_days = 21;
  const auto base = forecast(), patched = forecast(later);
  CHECK(mean_yield(patched) < mean_yield(base));
  CHECK(patched.contracts[1].anchor.yield_a == base.contracts[1].anchor.yield_a);
  double rise = 0;
  for (int y = 0; y < 30; ++y) rise += (patched.contracts[0].at(y, 0).n_pct - base.contracts[0].at(y, 0).n_pct) / 30 / 3;
  MESSAGE("N rise a week: " << rise);
  CHECK(rise >= 0.02);
  CHECK(rise <= 0.07);
}

TEST_CASE("Direct patches come after the anchor") {
  SeasonPatch patch;
  patch.yield_factor = 0.91;
  patch.n_shift_pct = 0.15;
  patch.other_failure_pct = 25;
  const auto base = forecast(), patched = forecast(patch);
  const auto m = means_of(patched, 0), b = means_of(base, 0);
  CHECK(within(m.yield, 0.91 * b.yield, 1e-9));
  CHECK(within(m.n, b.n + 0.15, 1e-9));
  CHECK(within(m.passed, 0.75, 1e-9));
}

TEST_CASE("An in-field yield loses its headlands, an accepted N basis is turned to all grain, a variety shifts a default N") {
  auto season = island_season();
  season.varieties = {{{}, "Long Furrow", std::nullopt, std::nullopt, 1.1, -0.03, 1.05, std::nullopt}};
  season.contracts[0].yield_basis = YieldBasis::in_field;
  season.contracts[0].headland_share = 0.12;
  season.contracts[0].n_basis = NitrogenBasis::accepted;
  season.contracts[0].n_basis_limit_pct = 1.65;
  season.contracts[2].variety = "Long Furrow";
  season.contracts[1].variety = "Long Furrow";
  season.contracts[1].typical_n_pct = 1.48;
  season.contracts[1].typical_n_is_default = true;
  const auto f = forecast({}, season);
  CHECK(within(means_of(f, 0).yield, 5.7504, 1e-9));
  CHECK(within(means_of(f, 0).n, 1.516, 0.0005));
  // A row's own yield and N are those of its variety: neither is counted twice.
  CHECK(within(means_of(f, 2).yield, 6.3, 1e-9));
  CHECK(within(means_of(f, 2).n, 1.52, 1e-9));
  CHECK(within(means_of(f, 1).yield, 5.5, 1e-9));
  CHECK(within(means_of(f, 1).n, 1.48 - 0.03, 1e-9));
}

TEST_CASE("Losses add up to what is missing") {
  const auto f = forecast();
  for (std::size_t y = 0; y < f.years.size(); ++y) {
    const auto& loss = f.contracts[2].losses[y];
    CHECK(loss.water >= 0);
    CHECK(loss.sowing >= 0);
    CHECK(loss.harvest >= 0);
    double yield = 0;
    for (int k = 0; k < 3; ++k)
      yield += f.contracts[2].share[static_cast<std::size_t>(k)] * f.contracts[2].at(static_cast<int>(y), k).yield_t_ha;
    const double attainable = yield + loss.sowing + loss.water + loss.waterlogging + loss.heat + loss.frost + loss.harvest;
    CHECK(attainable > yield);
    CHECK(attainable < 3 * yield);
  }
}

TEST_CASE("Dates run in order and a simulated backup averages 1") {
  const auto f = forecast();
  for (const auto& dates : f.contracts[0].dates) {
    CHECK(dates.sown > 200);
    CHECK(dates.sown < dates.heading);
    CHECK(dates.heading < dates.ripe);
    CHECK(dates.ripe < dates.harvested);
  }
  CHECK(f.backup_yield_factor[0].empty());
  double sum = 0;
  for (double factor : f.backup_yield_factor[1]) sum += factor;
  CHECK(within(sum / 30, 1, 1e-12));
}

TEST_CASE("Threads give the same forecast") { CHECK(same_bits(forecast(), forecast({}, island_season(), 4))); }

TEST_CASE("Outlook weights are stratified by terciles of rain (check-values 11)") {
  const std::vector<double> rain = {1, 2, 3, 4, 5, 6, 7, 8, 9};
  const auto w = outlook_weights({0.5, 0.3, 0.2}, rain);
  for (std::size_t i = 0; i < 9; ++i) CHECK(within(w[i], i < 3 ? 1.0 / 6 : i < 6 ? 0.1 : 1.0 / 15, 1e-12));
  for (double weight : outlook_weights({}, {1, 2, 3, 4, 5, 6, 7})) CHECK(weight == 1.0 / 7);
  auto season = island_season();
  season.outlook = {0.6, 0.3, 0.1};
  const auto f = forecast({}, season);
  SeasonPatch dry;
  dry.rain_factor[4] = 0.2;
  CHECK(forecast(dry, season).weights == f.weights);  // a case does not move the outlook
  double total = 0;
  for (double weight : f.weights) total += weight;
  CHECK(within(total, 1, 1e-12));
}

TEST_CASE("A region without land and a crop that never ripens are refused") {
  auto season = island_season();
  season.contracts[0].region = "Nowhere";
  CHECK_THROWS_AS(forecast({}, season), InputError);
  season = island_season();
  season.parameters.set("ripeness_cd", 4000);
  CHECK_THROWS_AS(forecast({}, season), InputError);
}

TEST_CASE("Chosen years keep their figures") {
  const auto f = forecast();
  const auto two = select_years(f, {f.years[3], f.years[10]});
  CHECK(two.years == std::vector<int>{f.years[3], f.years[10]});
  CHECK(two.contracts[1].at(1, 2).yield_t_ha == f.contracts[1].at(10, 2).yield_t_ha);
  CHECK(two.weights[0] == doctest::Approx(0.5));
}

TEST_CASE("A usual harvest date is met on average, and no case moves the thermal factor behind it") {
  auto season = island_season();
  season.contracts[0].usual_harvest = Date(2026, 8, 25);
  season.contracts[1].usual_harvest = Date(2026, 9, 8);
  const auto f = forecast({}, season);
  for (const auto& [row, day] : {std::pair<std::size_t, double>{0, 358}, {1, 372}}) {
    double harvested = 0;
    for (const auto& dates : f.contracts[row].dates) harvested += dates.harvested / 30;
    MESSAGE("row " << row << " mean harvest, season day: " << harvested << ", wanted " << day);
    CHECK(within(harvested, day, 4));
  }
  SeasonPatch warm;
  warm.temperature_shift_c = 1;
  warm.sowing_shift_days = 7;
  const auto factors = usual_harvest_factors(season, island_land(), islands(), Growing{1});
  CHECK(factors[2] == 1);
  CHECK(run_requests(season, warm, factors)[0].thermal_factor == factors[0]);
  const auto warmer = forecast(warm, season);
  CHECK(warmer.contracts[0].dates[0].ripe < f.contracts[0].dates[0].ripe + 7);
}

TEST_CASE("A hindcast's anchors leave out the scored year") {
  const auto season = island_season();
  const auto requests = run_requests(season, {}, {1, 1, 1});
  const auto base = run_crop(island_land(), islands(), crop_runs(season, island_land(), requests, {}), season, {}, 1, nullptr);
  const auto all = compute_anchors(season, island_land(), base, requests);
  const auto without = compute_anchors(season, island_land(), base, requests, base.harvest_years[4]);
  CHECK(all.rows[0].shift.yield_a != without.rows[0].shift.yield_a);
  double sum = 0;
  const auto row = row_units(season, base.runs, requests[0], island_land().regions[0]);
  for (int y = 0; y < 30; ++y)
    if (y != 4)
      for (std::size_t k = 0; k < row.units.size(); ++k) sum += row.share[k] * base.at(row.runs[k], y, row.places[k]).relative_yield;
  CHECK(within(without.rows[0].shift.yield_a, 6.0 / (sum / 29), 1e-12));
}

TEST_CASE("Stages out of order are refused") {
  auto season = island_season();
  season.parameters.set("heading_cd", 1600);
  CHECK_THROWS_AS(forecast({}, season), InputError);
}

TEST_CASE("Cases on a kept base equal cases on their own") {
  const auto season = island_season();
  const auto base = grow_base(season, island_land(), islands(), Growing{2});
  SeasonPatch dry, direct;
  dry.rain_factor[5] = 0.5;
  direct.yield_factor = 0.9;
  for (const auto& patch : {SeasonPatch{}, dry, direct})
    CHECK(same_bits(forecast(patch), forecast_harvest(season, patch, island_land(), islands(), base, Growing{1})));
}
