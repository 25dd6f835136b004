#include <doctest/doctest.h>

#include "planner/base/problem.h"
#include "planner/sowing/sowing_places.h"
#include "tests/sowing/sowing_season.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

std::string refusal(const Season& season, const SowingRequest& request, const Land* land) {
  try {
    sowing_places(season, request, land);
  } catch (const InputError& error) {
    return to_text(error.problems.front());
  }
  return "";
}

}  // namespace

TEST_CASE("Every contracted region speaks once; a named one alone; an unknown one is refused by name") {
  Season season = sowing_season();
  season.contracts.push_back(season.contracts[0]);  // a second row of region A
  season.contracts.back().contract = "A-other";
  const auto all = sowing_places(season, {}, &island_land());
  REQUIRE(all.size() == 3);
  CHECK(all[0].region == "A");
  CHECK(all[0].contract == 0);
  CHECK(all[0].units.size() == 3);
  CHECK(sowing_places(season, {{"C"}, std::nullopt}, &island_land())[0].region == "C");
  const std::string words = refusal(season, {{"Z"}, std::nullopt}, &island_land());
  CHECK(words.find("\"Z\"") != std::string::npos);
  CHECK(words.find("A, B, C") != std::string::npos);
}

TEST_CASE("A point takes its cell; outside contracted land the nearest is named") {
  const Season season = sowing_season();
  // Cells are a tenth of a degree wide around -3.0, -2.9, -2.8 at 56 N.
  const auto places = sowing_places(season, {{}, {{-2.87, 56.02}}}, &island_land());
  REQUIRE(places.size() == 1);
  CHECK(places[0].region == "B");
  CHECK(places[0].units == std::vector<int>{3, 4, 5});
  CHECK(places[0].share[0] + places[0].share[1] + places[0].share[2] == doctest::Approx(1));
  CHECK(sowing_places(season, {{}, {{-2.87 + 360, 56.02}}}, &island_land())[0].region == "B");
  const std::string words = refusal(season, {{}, {{-2.0, 56.0}}}, &island_land());
  CHECK(words.find("nearest is region C") != std::string::npos);
  CHECK(words.find("50 km") != std::string::npos);  // 0.8 degrees of longitude at 56 N: 49.7 km
  CHECK(refusal(sowing_season(ForecastModel::formulas), {{}, {{-2.87, 56.02}}}, nullptr).find("--region") != std::string::npos);
}

TEST_CASE("Dates are tried weekly from the earliest to two weeks past the latest, the planned one among them") {
  Season season = sowing_season();
  auto place = sowing_places(season, {}, &island_land())[0];
  CHECK(place.earliest == Date(2026, 3, 10));
  CHECK(place.latest == Date(2026, 4, 30));
  auto dates = dates_tried(season, place);
  CHECK(dates.front() == Date(2026, 3, 10));
  CHECK(dates.back() == Date(2026, 5, 12));
  CHECK(dates.size() == 10);
  season.contracts[0].sow_planned = Date(2026, 4, 2);
  place = sowing_places(season, {}, &island_land())[0];
  dates = dates_tried(season, place);
  CHECK(std::is_sorted(dates.begin(), dates.end()));
  CHECK(std::count(dates.begin(), dates.end(), Date(2026, 4, 2)) == 1);
  CHECK(std::count(dates.begin(), dates.end(), Date(2026, 3, 31)) == 0);  // the planned date stands in for it
  CHECK(dates.size() == 10);
}

TEST_CASE("The same figures on one, two and four threads") {
  const Season season = sowing_season();
  const BaseHarvest base = grow_base(season, island_land(), islands(), Growing{1});
  const auto figures = [&](int threads) {
    std::vector<double> all;
    for (const auto& advice : sowing_advice(season, {{"A", "B"}, std::nullopt}, island_land(), islands(), base, Growing{threads})) {
      for (const auto& date : advice.dates) {
        all.push_back(date.workable_days_left->mean);
        for (const auto* way : {&date.wait, &date.at_once})
          all.insert(all.end(), way->qualifying_t_ha_by_year.begin(), way->qualifying_t_ha_by_year.end());
      }
      for (const auto& year : advice.spring->years) all.push_back(year.workable_days);
    }
    return all;
  };
  const auto one = figures(1);
  CHECK(one.size() > 1000);
  CHECK(figures(2) == one);
  CHECK(figures(4) == one);
}
