#include <doctest/doctest.h>

#include "planner/crop/season_windows.h"
#include "planner/crop/spring_work.h"
#include "planner/sowing/spring_outlook.h"
#include "tests/sowing/sowing_season.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

// Workable days of one spring given by hand: one unit, one year.
SpringWork by_hand(const std::vector<int>& workable, int days) {
  SpringWork work;
  work.units = {0};
  work.harvest_years = {2026};
  work.days = days;
  work.workable_day.assign(static_cast<std::size_t>(days), 0);
  for (int day : workable) work.workable_day[static_cast<std::size_t>(day)] = 1;
  return work;
}

SowingPlace one_unit_place(const Date& earliest) {
  SowingPlace place;
  place.region = "A";
  place.units = {0};
  place.share = {1};
  place.earliest = earliest;
  place.planned = place.latest = earliest + boost::gregorian::days(21);
  return place;
}

double mean_count(const SpringWork& work, int k, int from, int to) {
  double sum = 0;
  for (int y = 0; y < static_cast<int>(work.harvest_years.size()); ++y) sum += work.count(y, k, from, to);
  return sum / static_cast<double>(work.harvest_years.size());
}

}  // namespace

TEST_CASE("L1: dates and counts of at least twenty springs, quantiles in order, the rule with its numbers") {
  for (const auto& advice : island_advice()) {
    REQUIRE(advice.spring.has_value());
    const auto& s = *advice.spring;
    CHECK(s.years.size() >= 20);
    CHECK(s.from == Date(2026, 3, 10));
    CHECK(s.count_to == Date(2026, 4, 30));
    REQUIRE(s.first_workable.p10.has_value());
    REQUIRE(s.first_workable.p50.has_value());
    CHECK(*s.first_workable.p10 >= s.from);
    CHECK(*s.first_workable.p10 <= *s.first_workable.p50);
    if (s.first_workable.p90) CHECK(*s.first_workable.p50 <= *s.first_workable.p90);
    CHECK(s.workable_days.p10 <= s.workable_days.p50);
    CHECK(s.workable_days.p50 <= s.workable_days.p90);
    CHECK(s.workable_days.p90 <= 52);  // 10 March to 30 April
    CHECK(s.workable_days.p50 > 0);
    for (const char* number : {"5 C", "three days", "2 mm", "1.00 (sand)", "0.95 (loam)", "0.90 (clay)", "19 workable days"})
      CHECK_MESSAGE(s.rule.find(number) != std::string::npos, number, " is missing in: ", s.rule);
  }
}

TEST_CASE("Drilling progress grows by date and is ahead in fast springs; half comes before nine tenths") {
  for (const auto& advice : island_advice()) {
    const auto& points = advice.spring->progress;
    REQUIRE(points.size() > 5);
    CHECK(points.back().middle > points.front().middle);
    for (std::size_t i = 0; i < points.size(); ++i) {
      CHECK(points[i].slow <= points[i].middle);
      CHECK(points[i].middle <= points[i].fast);
      CHECK(points[i].fast <= 1 + 1e-12);
      if (i > 0) CHECK(points[i].middle >= points[i - 1].middle);
    }
    if (advice.spring->half_sown.p50 && advice.spring->nine_tenths_sown.p50)
      CHECK(*advice.spring->half_sown.p50 < *advice.spring->nine_tenths_sown.p50);
  }
}

TEST_CASE("Heavier soil and a wetter coast have fewer workable days") {
  const Season season = sowing_season();
  const std::vector<int> units = {0, 1, 2, 3};  // island A: loam, loamy sand, clay; island B (wet): loam
  const auto work = spring_work(island_land(), islands(), units, spring_days(season), season, Growing{2});
  REQUIRE(work.harvest_years.size() >= 20);
  const int from = season_day(season, 2005, {3, 1}), to = count_to_day(season, 2005);
  const double loam = mean_count(work, 0, from, to), sand = mean_count(work, 1, from, to), clay = mean_count(work, 2, from, to);
  CHECK(sand > loam);
  CHECK(loam > clay);
  CHECK(mean_count(work, 3, from, to) < loam);
}

TEST_CASE("Spring work is what the crop's own sowing goes by") {
  // A field that waits from 10 March is sown on the first workable date that the bare soil shows, in every year that reaches it in time.
  const Season season = sowing_season();
  const auto& advice = island_advice()[0];
  const SowingPlace place = sowing_places(season, {{"A"}, std::nullopt}, &island_land())[0];
  const auto work = spring_work(island_land(), islands(), place.units, spring_days(season), season, Growing{1});
  // The island's three soils by equal shares: the median unit's first date is the region's.
  int compared = 0;
  for (std::size_t y = 0; y < work.harvest_years.size(); ++y) {
    const int year = work.harvest_years[y], from = season_day(season, year, {3, 10});
    std::vector<int> first;
    for (int k = 0; k < 3; ++k) first.push_back(work.first_workable(static_cast<int>(y), k, from));
    std::sort(first.begin(), first.end(), [](int a, int b) { return (a < 0 ? 9999 : a) < (b < 0 ? 9999 : b); });
    const auto& spring = advice.spring->years[y];
    REQUIRE(spring.year == year);
    if (first[1] < 0) continue;
    REQUIRE(spring.first_workable.has_value());
    CHECK((*spring.first_workable - Date(2026, 3, 10)).days() == first[1] - from);
    ++compared;
  }
  CHECK(compared >= 20);
}

TEST_CASE("The rule by hand: second workable day in a row, counted from before the earliest date too") {
  const auto work = by_hand({189, 190, 195, 200, 201, 202}, 304);
  CHECK(work.first_workable(0, 0, 190) == 190);  // 189 and 190
  CHECK(work.first_workable(0, 0, 191) == 201);  // 195 stands alone
  CHECK(work.first_workable(0, 0, 203) == -1);
  CHECK(work.count(0, 0, 190, 201) == 4);

  Season season = sowing_season();
  season.parameters.set("drilling_days", 4);
  // 10 March 2026 is season day 190: sown from the first day on; 190, 195, 200, 201 drill a quarter each.
  const auto place = one_unit_place(Date(2026, 3, 10));
  CHECK(season_day(season, 2026, {3, 10}) == 190);
  const auto outlook = spring_outlook(season, place, work, {1.0});
  CHECK(outlook.first_workable.p50 == Date(2026, 3, 10));
  CHECK(outlook.workable_days.mean == doctest::Approx(5));
  CHECK(outlook.half_sown.p50 == Date(2026, 3, 15));         // second workable day of drilling
  CHECK(outlook.nine_tenths_sown.p50 == Date(2026, 3, 21));  // the fourth
  // 17 March: two of four days, 24 March: all.
  CHECK(outlook.progress[1].middle == doctest::Approx(0.5));
  CHECK(outlook.progress[2].middle == doctest::Approx(1));
}

TEST_CASE("A spring that is never fit counts as later than every date") {
  const Season season = sowing_season();
  const auto outlook = spring_outlook(season, one_unit_place(Date(2026, 3, 10)), by_hand({}, 304), {1.0});
  CHECK_FALSE(outlook.first_workable.p10.has_value());
  CHECK_FALSE(outlook.half_sown.p50.has_value());
  CHECK(outlook.never_share == doctest::Approx(1));
  CHECK(outlook.workable_days.mean == 0);
}

TEST_CASE("South of the equator the count ends on the same day of the season") {
  Season season = sowing_season();
  CHECK(count_to_day(season, 2026) == season_day(season, 2026, {4, 30}));
  season.season_start = {3, 1};
  season.season_end = {4, 30};
  CHECK(date_of(day_number(in_year(season.season_start, 2025)) + count_to_day(season, 2026)) == Date(2025, 10, 31));
}
