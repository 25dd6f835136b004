// Whole hindcasts: rows, totals, what was lost where, self-test, threads, refusals.
#include <doctest/doctest.h>

#include <cmath>

#include "planner/base/problem.h"
#include "tests/hindcast/hindcast_season.h"

namespace rickyard {
namespace {

using testing::run;

const std::vector<HindcastDate> kTwo = {{"sowing", {3, 31}}, {"07-15", {7, 15}}};

const HindcastRow& row_at(const Hindcast& h, int year, int date, const std::string& region) {
  for (const auto& row : h.rows)
    if (row.year == year && row.date == date && row.region == region) return row;
  FAIL("no row of " << year << " " << region);
  std::abort();
}

}  // namespace

TEST_CASE("Every archive year on every date, scored where there are deliveries; regions add up to the total") {
  Season season = testing::hindcast_input();
  testing::add_history(season, 8);
  const Hindcast h = run(season, {kTwo, {}});
  CHECK(h.kind == HindcastKind::deliveries);
  CHECK(h.years.size() == testing::kHindcastYears);
  CHECK(h.rows.size() == static_cast<std::size_t>(testing::kHindcastYears) * 2 * 3);
  REQUIRE(h.headline());
  CHECK(h.headline()->scores.n == 8);
  CHECK(h.scores.size() == 2 * 2 * 3);
  int hits = 0;
  for (const auto& row : h.rows) {
    CAPTURE(row.year);
    CAPTURE(row.region);
    CHECK(row.qualifying.came_t.has_value() == (row.year >= 2005));
    CHECK(row.qualifying.forecast_t.p10 <= row.qualifying.forecast_t.p50);
    CHECK(row.qualifying.forecast_t.mean < row.delivered.forecast_t.mean);
    if (row.region.empty()) {
      const auto &a = row_at(h, row.year, row.date, "A"), &b = row_at(h, row.year, row.date, "B");
      CHECK(row.planted_ha == a.planted_ha + b.planted_ha);
      CHECK(row.delivered.forecast_t.mean == doctest::Approx(a.delivered.forecast_t.mean + b.delivered.forecast_t.mean).epsilon(1e-12));
      // Regions fail together, but not wholly: the total's low is not the sum of theirs.
      CHECK(row.delivered.forecast_t.p10 >= a.delivered.forecast_t.p10 + b.delivered.forecast_t.p10);
      if (row.qualifying.came_t)
        CHECK(*row.qualifying.came_t == doctest::Approx(*a.qualifying.came_t + *b.qualifying.came_t).epsilon(1e-12));
      if (row.date == 0 && row.qualifying.score) hits += row.qualifying.score->hit;
    }
    if (row.year < 2005) {
      CHECK(row.lost_to.empty());
      continue;
    }
    // What came less the mean forecast is field and intake together.
    CHECK(*row.field_t + *row.intake_t == doctest::Approx(*row.qualifying.came_t - row.qualifying.forecast_t.mean).epsilon(1e-9));
  }
  CHECK(hits == h.headline()->scores.hits);
  // Weather known to mid-July narrows the range of most seasons.
  int narrower = 0;
  for (int year : h.years) {
    const auto &early = row_at(h, year, 0, "").delivered.forecast_t, &late = row_at(h, year, 1, "").delivered.forecast_t;
    narrower += late.p90 - late.p10 < early.p90 - early.p10;
  }
  CHECK(narrower >= 9);
}

TEST_CASE("Whether grain was lost in the field or to the limit") {
  Season season = testing::hindcast_input();
  testing::add_history(season, 8);
  const auto change = [&](int year, double delivered_factor, double qualifying_share, double n_pct) {
    for (auto& row : season.history)
      if (row.crop_year == year) {
        *row.delivered_t *= delivered_factor;
        *row.qualifying_t = *row.delivered_t * qualifying_share;
        row.n_pct = n_pct;
      }
  };
  change(2006, 0.5, 0.85, 1.50);  // half a crop, of good grain
  change(2008, 1.1, 0.30, 1.72);  // plenty, too much nitrogen
  change(2010, 1.1, 0.30, 1.45);  // plenty, spoilt otherwise
  change(2012, 1.6, 1.00, 1.40);  // nothing lost
  const Hindcast h = run(season, {{kTwo.front()}, {}});
  for (const char* region : {"A", "B", ""}) {
    CAPTURE(region);
    CHECK(row_at(h, 2006, 0, region).lost_to == "field");
    CHECK(row_at(h, 2008, 0, region).lost_to == "limit");
    CHECK(row_at(h, 2010, 0, region).lost_to == "other points");
    CHECK(row_at(h, 2012, 0, region).lost_to == "nothing");
  }
  for (auto& row : season.history)
    if (row.crop_year == 2008) row.n_pct.reset();
  CHECK(row_at(run(season, {{kTwo.front()}, {2008}}), 2008, 0, "A").lost_to == "limit or other points");
  // With the limit of the time at 1.85 the same deliveries would have been expected to pass more.
  const double at_165 = row_at(h, 2009, 0, "A").qualifying.forecast_t.mean;
  for (auto& row : season.history)
    if (row.crop_year == 2009) row.limit_n_pct = 1.85;
  CHECK(row_at(run(season, {{kTwo.front()}, {2009}}), 2009, 0, "A").qualifying.forecast_t.mean > 1.05 * at_165);
}

TEST_CASE("Without deliveries it is a self-test: all seasons scored against the model's own, its ranges mostly hold") {
  const Hindcast h = run(testing::hindcast_input(), {kTwo, {}});
  CHECK(h.kind == HindcastKind::self_test);
  REQUIRE(h.headline());
  CHECK(h.headline()->scores.n == testing::kHindcastYears);
  CHECK(h.headline()->scores.hits >= h.headline()->scores.band.low);
  for (const auto& row : h.rows) CHECK(row.qualifying.came_t.has_value());
}

TEST_CASE("The same on any number of threads, and for some seasons alone") {
  Season season = testing::hindcast_input();
  testing::add_history(season, 8);
  const Hindcast one = run(season, {kTwo, {}}, 1), three = run(season, {kTwo, {}}, 3), some = run(season, {kTwo, {2011, 2006, 2011}}, 2);
  CHECK(some.years == std::vector<int>{2006, 2011});
  REQUIRE(one.rows.size() == three.rows.size());
  for (std::size_t i = 0; i < one.rows.size(); ++i) {
    CHECK(one.rows[i].qualifying.forecast_t.mean == three.rows[i].qualifying.forecast_t.mean);
    CHECK(one.rows[i].delivered.forecast_t.p90 == three.rows[i].delivered.forecast_t.p90);
  }
  for (std::size_t i = 0; i < one.scores.size(); ++i) CHECK(one.scores[i].scores.gain_low == three.scores[i].scores.gain_low);
  for (const auto& row : some.rows) {
    const auto& whole = row_at(one, row.year, row.date, row.region);
    CHECK(row.qualifying.forecast_t.p10 == whole.qualifying.forecast_t.p10);
    CHECK(row.qualifying.score->crps_five_year_mean == whole.qualifying.score->crps_five_year_mean);
  }
}

TEST_CASE("Dates, deliveries without weather, wrong years, one year alone, a stop") {
  Season season = testing::hindcast_input();
  testing::add_history(season, 8);
  const auto dates = usual_dates(season);
  REQUIRE(dates.size() == 4);
  CHECK(dates[0].name == "sowing");
  CHECK(dates[0].day == MonthDay{3, 31});
  CHECK(dates[1].day == MonthDay{5, 1});
  CHECK(dates[2].day == MonthDay{6, 1});
  CHECK(dates[3].day == MonthDay{7, 15});
  Season south = season;
  south.season_start = {3, 1};
  CHECK(usual_dates(south)[1].day == MonthDay{11, 1});
  CHECK(usual_dates(south)[3].day == MonthDay{1, 15});

  season.history.push_back(season.history.front());
  season.history.back().crop_year = 1990;
  season.history.push_back(season.history.front());
  season.history.back().crop_year = 1991;
  season.history.back().planted_ha.reset();
  const Hindcast h = run(season, {{kTwo.front()}, {}});
  REQUIRE(h.notes.size() == 2);
  CHECK(h.notes[0].find("1 history row without planted_ha or delivered_t") == 0);
  CHECK(h.notes[1].find("deliveries of 1990 are not scored") == 0);
  CHECK_THROWS_AS(run(season, {kTwo, {1990}}), InputError);

  Season formulas = testing::hindcast_input();
  formulas.model = ForecastModel::formulas;
  CHECK_THROWS_AS((void)make_hindcast(formulas, nullptr, {}, {kTwo, {}}, Growing{}), InputError);  // nothing to score
  std::stop_source stop;
  stop.request_stop();
  CHECK_FALSE(
      make_hindcast(season, &testing::hindcast_land(), {&testing::hindcast_archive(), 1}, {kTwo, {}}, Growing{1}, stop.get_token()));
}

}  // namespace rickyard
