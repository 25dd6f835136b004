// Bands of hits, ranks and five-year means against figures worked by hand (check-values 9).
#include <doctest/doctest.h>

#include <cmath>

#include "planner/hindcast/baselines.h"
#include "planner/hindcast/season_scores.h"

using namespace rickyard;

namespace {

double chance(int n, int low, int high) {
  double sum = 0;
  for (int k = low; k <= high; ++k) sum += binomial_probability(n, k, 0.8);
  return sum;
}

SeasonCase normal_case(double observed) {
  SeasonCase one;
  one.observed = observed;
  one.members = {1, 2, 4};
  one.weights = {1, 1, 1};
  return one;
}

}  // namespace

TEST_CASE("The exact band of hits: 8 seasons 4 to 8, 30 seasons 19 to 29") {
  const auto eight = hit_band(8), thirty = hit_band(30);
  CHECK(eight.low == 4);
  CHECK(eight.high == 8);
  CHECK(thirty.low == 19);
  CHECK(thirty.high == 29);
  // Exact chances by hand: 1 - (1 + 32 + 448 + 3584)/5^8 of eight trials.
  CHECK(std::abs(eight.probability - (1 - (1 + 32 + 448 + 3584) / 390625.0)) < 1e-12);
  CHECK(std::abs(thirty.probability - chance(30, 19, 29)) < 1e-12);
  CHECK(std::abs(thirty.probability - 0.98927) < 5e-6);
}

TEST_CASE("200 seasons: 146 to 174 holds 98.98 %; the rounder 145 to 175 that is often named holds 99.39 %") {
  const auto band = hit_band(200);
  CHECK(band.low == 146);
  CHECK(band.high == 174);
  CHECK(std::abs(chance(200, 146, 174) - 0.9898) < 5e-5);
  CHECK(std::abs(chance(200, 145, 175) - 0.9939) < 5e-5);
}

TEST_CASE("A band is likelier than any of the same width, holds the likeliest count, and one season tells nothing") {
  for (int n = 1; n <= 60; ++n) {
    CAPTURE(n);
    const auto band = hit_band(n);
    CHECK(band.low >= 0);
    CHECK(band.high <= n);
    CHECK(std::abs(band.probability - chance(n, band.low, band.high)) < 1e-12);
    const int width = band.high - band.low;
    for (int low = 0; low + width <= n; ++low) CHECK(chance(n, low, low + width) <= band.probability + 1e-12);
    CHECK(std::abs(chance(n, 0, n) - 1) < 1e-11);
  }
  CHECK(hit_band(1).low == 0);
}

TEST_CASE("Ranks of 0, 1.5, 3 and 9 among 1, 2 and 4 are 1 to 4") {
  CHECK(rank_among({1, 2, 4}, 0) == 1);
  CHECK(rank_among({1, 2, 4}, 1.5) == 2);
  CHECK(rank_among({4, 1, 2}, 3) == 3);
  CHECK(rank_among({1, 2, 4}, 9) == 4);
}

TEST_CASE("One season: CRPS 0.5, 1.666667 and 2; hit and rank class by its deciles") {
  CHECK(std::abs(score_season(normal_case(2.5)).crps - 0.5) < 1e-12);
  CHECK(std::abs(score_season(normal_case(0)).crps - 5.0 / 3) < 1e-12);
  CHECK(std::abs(score_season(normal_case(5)).crps - 2) < 1e-12);
  // Type 7 of 1, 2, 4: P10 1.2, P50 2, P90 3.6.
  const auto inside = score_season(normal_case(3.6)), outside = score_season(normal_case(3.61));
  CHECK(std::abs(inside.forecast.p10 - 1.2) < 1e-12);
  CHECK(std::abs(inside.forecast.p90 - 3.6) < 1e-12);
  CHECK(outside.hit == false);
  CHECK(outside.rank_class == 10);
  CHECK(score_season(normal_case(1.1)).rank_class == 1);
  CHECK(score_season(normal_case(1.3)).rank_class == 2);
  CHECK(score_season(normal_case(2.0)).hit);
  CHECK_FALSE(inside.crps_climatology);  // no other season
}

TEST_CASE("A five-year mean: the five seasons before; those after make up five; never the season itself") {
  const std::vector<OtherSeason> record = {{2010, 1}, {2011, 2}, {2012, 3}, {2013, 4}, {2014, 5}, {2015, 100}, {2016, 7}};
  CHECK(*five_year_mean(record, 2015) == 3);  // (1 + 2 + 3 + 4 + 5)/5
  CHECK(*five_year_mean(record, 2016) == (2 + 3 + 4 + 5 + 100) / 5.0);
  CHECK(*five_year_mean(record, 2012) == (2 + 1 + 4 + 5 + 100) / 5.0);  // two before, three after
  CHECK(*five_year_mean(record, 2012, 2015) == (2 + 1 + 4 + 5 + 7) / 5.0);
  CHECK(*five_year_mean({{2010, 6}, {2011, 8}}, 2011) == 6);
  CHECK_FALSE(five_year_mean({{2010, 6}}, 2010));
  // Its errors, by hand: 2010 against 8, 2011 against 6 and 2012 left out; m(2012) = 7.
  const auto rivals = baselines({{2010, 6}, {2011, 8}, {2012, 50}}, 2012);
  CHECK(rivals.climatology == std::vector<double>{6, 8});
  CHECK(*rivals.five_year_mean == 7);
  REQUIRE(rivals.five_year.size() == 2);
  CHECK(std::abs(rivals.five_year[0] - 7 * 6.0 / 8) < 1e-12);
  CHECK(std::abs(rivals.five_year[1] - 7 * 8.0 / 6) < 1e-12);
}
