// A grower's own record (story L4): eight seasons predicted against delivered, hits counted; fewer than five says too few.
#include <doctest/doctest.h>

#include <cmath>

#include "planner/base/range.h"
#include "planner/hindcast/grower_records.h"
#include "planner/hindcast/make_hindcast.h"
#include "tests/calibration/deliveries_maker.h"

namespace rickyard {
namespace {

using testing::delivery;

// One region of 6 t/ha by the formulas; its deliveries, and those of a grower who gets nine tenths of it.
Season season_with(int grower_seasons) {
  Season season = testing::delivery_season(1);
  season.model = ForecastModel::formulas;
  season.parameters.set("bootstrap_replicates", 200);
  const double region[] = {5.7, 6.4, 6.1, 5.2, 6.3, 5.9, 6.6, 5.8}, farm[] = {0.92, 0.85, 0.97, 0.88, 0.93, 0.82, 0.95, 0.90};
  for (int i = 0; i < 8; ++i) {
    season.history.push_back(delivery("r0", 2019 + i, 100, 100 * region[i]));
    if (i >= grower_seasons) continue;
    season.history.push_back(delivery("r0", 2019 + i, 20, 20 * region[i] * farm[i]));
    season.history.back().grower = "hill farm";
  }
  return season;
}

Hindcast hindcast_of(const Season& season) {
  auto made = make_hindcast(season, nullptr, {}, {{{"sowing", {4, 1}}}, {}}, Growing{});
  REQUIRE(made);
  return *made;
}

}  // namespace

TEST_CASE("Eight seasons of a grower: each predicted beside what was delivered, hits counted") {
  const Hindcast h = hindcast_of(season_with(8));
  REQUIRE(h.growers.size() == 8);
  REQUIRE(h.grower_scores.size() == 1);
  const Scores& scores = h.grower_scores.front().scores;
  CHECK(h.grower_scores.front().grower == "hill farm");
  int hits = 0;
  for (const auto& row : h.growers) {
    CAPTURE(row.year);
    const auto& f = row.delivered.forecast_t;
    MESSAGE(row.year, ": ", f.p10, " .. ", f.p50, " .. ", f.p90, " t predicted, ", *row.delivered.came_t, " t delivered");
    CHECK(row.planted_ha == 20);
    CHECK(*row.delivered.came_t > 85);
    hits += *row.delivered.came_t >= f.p10 && *row.delivered.came_t <= f.p90;
    // Seven other seasons at nine tenths: the middle of the prediction lies nearer to 20 ha x 5.4 t/ha than to the region's 6.
    CHECK(f.p50 > 20 * 4.9);
    CHECK(f.p50 < 20 * 5.8);
  }
  CHECK(scores.n == 8);
  CHECK(scores.hits == hits);
  CHECK(scores.band.low == 4);
  CHECK(scores.band.high == 8);
  CHECK(scores.hits >= 6);
  CHECK(scores.verdict != Verdict::too_few);
  CHECK(scores.reason.find(std::to_string(hits) + " of 8 seasons inside the range") != std::string::npos);
}

TEST_CASE("Four seasons of a grower are too few, and say so; their region's eight are not") {
  const Hindcast h = hindcast_of(season_with(4));
  REQUIRE(h.growers.size() == 4);
  CHECK(h.grower_scores.front().scores.verdict == Verdict::too_few);
  REQUIRE(h.headline());
  CHECK(h.headline()->scores.n == 8);
  CHECK(h.headline()->scores.verdict != Verdict::too_few);
  CHECK(h.kind == HindcastKind::deliveries);
}

TEST_CASE("What a grower's own season brought moves nothing that is predicted for it") {
  Season season = season_with(8);
  const Hindcast before = hindcast_of(season);
  for (auto& row : season.history)
    if (row.crop_year == 2022 && !row.grower.empty()) *row.delivered_t *= 0.3;
  const Hindcast after = hindcast_of(season);
  for (std::size_t i = 0; i < before.growers.size(); ++i) {
    const auto &a = before.growers[i], &b = after.growers[i];
    CAPTURE(a.year);
    if (a.year == 2022)
      CHECK(a.delivered.forecast_t.p50 == b.delivered.forecast_t.p50);
    else
      CHECK(a.delivered.forecast_t.p50 > b.delivered.forecast_t.p50);  // the other seasons learn from it
  }
}

TEST_CASE("The factor of a farm, by hand") {
  const FarmLaw law{0.18 * 0.18 - 0.10 * 0.10, 0.5};
  const double v = 0.0224;
  // A farm like any other: mean exp(mu + s^2/2) is 1.
  const auto any = farm_factor(law, {});
  CHECK(std::abs(any.mean_ln + 0.5 * any.sd_ln * any.sd_ln) < 1e-15);
  CHECK(std::abs(any.sd_ln - std::sqrt(v)) < 1e-15);
  // Three seasons at ln 0.9: weight 3 x 0.5/(3 x 0.5 + 0.5) = 0.75.
  const double d = std::log(0.9);
  const auto known = farm_factor(law, {d, d, d});
  CHECK(std::abs(known.mean_ln - (0.75 * (d + v / 4) - 0.25 * v / 4 - v / 4)) < 1e-15);
  CHECK(std::abs(known.sd_ln - std::sqrt(0.25 * v / 2 + v / 2)) < 1e-15);
  // Members: a region of 5 t/ha, 20 hectares, no spread.
  const auto t = grower_members({5, 5, 5, 5}, {2001, 2002}, 2, 20, {std::log(0.9), 0}, 7, 3);
  for (double one : t) CHECK(std::abs(one - 90) < 1e-12);
  const auto drawn = grower_members(std::vector<double>(4000, 5), std::vector<int>(1, 2001), 4000, 20, any, 7, 3);
  const Range range = weighted_range(drawn, std::vector<double>(drawn.size(), 1.0));
  CHECK(std::abs(range.mean - 100) < 1);
  CHECK(std::abs(range.p10 - 100 * std::exp(any.mean_ln - 1.2816 * any.sd_ln)) < 1.5);
}

}  // namespace rickyard
