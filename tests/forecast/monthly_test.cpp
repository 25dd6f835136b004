// Monthly totals to days: what is kept exactly, the law of wet days and amounts, what draws and cells share.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "planner/base/problem.h"
#include "planner/weather/daily_rain.h"
#include "planner/weather/disaggregate.h"
#include "tests/forecast/season_maker.h"
#include "tests/forecast/seattle.h"
#include "tests/forecast/weather_maker.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }

}  // namespace

namespace {

MonthlyArchive monthly_example() {
  MonthlyArchive monthly;
  monthly.cells = 2;
  monthly.months = 36;
  monthly.first_month = {2000, 1};
  std::mt19937_64 engine(3);
  for (int m = 0; m < monthly.months; ++m)
    for (int cell = 0; cell < 2; ++cell) {
      const double season = std::cos(2 * std::numbers::pi * (m % 12) / 12.0);
      monthly.rain_mm.push_back(m == 5 ? 0 : m == 7 ? 0.04 : 160 * uniform(engine));
      monthly.tmin_c.push_back(5 - 5 * season + normal(engine));
      monthly.tmax_c.push_back(12 - 7 * season + normal(engine));
    }
  monthly.rain_mm[2 * 20 + 1] = std::nan("");
  monthly.tmin_c[2 * 25] = std::nan("");
  return monthly;
}

}  // namespace

TEST_CASE("Monthly totals to days: in every draw every total is kept to 0.01 mm, every mean to the rounding of its sum") {
  const auto monthly = monthly_example();
  const auto land = make_land(2, {soil_of(0.40, 0.20)});
  const auto season = make_season();
  for (int variant : {0, 1, 3}) {
    CAPTURE(variant);
    const auto daily = disaggregate(monthly, land, season, variant);
    CHECK(daily.rain_disaggregated);
    CHECK(daily.first_day == Date(2000, 1, 1));
    CHECK(daily.days == 366 + 365 + 365);
    int day = 0;
    for (int m = 0; m < monthly.months; ++m) {
      const int n = days_in(add_months(monthly.first_month, m));
      for (int cell = 0; cell < 2; ++cell) {
        CAPTURE(m);
        CAPTURE(cell);
        const auto at = static_cast<std::size_t>(2 * m + cell);
        long rain = 0, tmin = 0, tmax = 0;
        for (int d = day; d < day + n; ++d) {
          rain += daily.rain_cmm[daily.at(d, cell)];
          tmin += daily.tmin_cc[daily.at(d, cell)];
          tmax += daily.tmax_cc[daily.at(d, cell)];
          if (!std::isnan(monthly.tmin_c[at])) CHECK(daily.tmin_cc[daily.at(d, cell)] <= daily.tmax_cc[daily.at(d, cell)]);
        }
        if (std::isnan(monthly.rain_mm[at]))
          CHECK(daily.rain_cmm[daily.at(day, cell)] == WeatherArchive::kMissingRain);
        else
          CHECK(rain == std::lround(100 * monthly.rain_mm[at]));
        if (std::isnan(monthly.tmin_c[at])) {
          CHECK(daily.tmin_cc[daily.at(day, cell)] == WeatherArchive::kMissingTemperature);
        } else {
          CHECK(tmin == std::lround(100 * monthly.tmin_c[at] * n));
          CHECK(tmax == std::lround(100 * monthly.tmax_c[at] * n));
        }
      }
      day += n;
    }
  }
}

TEST_CASE("Draws of daily rain: one seed and draw give the same days; another draw or seed others; temperatures stay") {
  const auto monthly = monthly_example();
  const auto land = make_land(2, {soil_of(0.40, 0.20)});
  auto season = make_season();
  const auto first = disaggregate(monthly, land, season);
  CHECK(disaggregate(monthly, land, season, 0).rain_cmm == first.rain_cmm);
  for (int variant = 1; variant < 4; ++variant) {
    const auto other = disaggregate(monthly, land, season, variant);
    CHECK(other.rain_cmm != first.rain_cmm);
    CHECK(other.tmin_cc == first.tmin_cc);
    CHECK(other.tmax_cc == first.tmax_cc);
  }
  CHECK(disaggregate(monthly, land, season, 1).rain_cmm != disaggregate(monthly, land, season, 2).rain_cmm);
  season.seed = 2;
  CHECK(disaggregate(monthly, land, season).rain_cmm != first.rain_cmm);
  SUBCASE("temperatures move without jumps") {
    int largest = 0;
    for (int d = 1; d < 300; ++d) largest = std::max(largest, std::abs(first.tmax_cc[first.at(d, 1)] - first.tmax_cc[first.at(d - 1, 1)]));
    CHECK(largest < 60);
  }
  SUBCASE("negative rain and a grid that does not fit are refused") {
    auto bad = monthly;
    bad.rain_mm[0] = -5;
    CHECK_THROWS_AS(disaggregate(bad, land, season), InputError);
    CHECK_THROWS_AS(disaggregate(monthly, make_land(1, {soil_of(0.40, 0.20)}), season), InputError);
  }
}

namespace {

// 200 years of the same month for one cell.
MonthlyArchive even_months(double rain_mm) {
  MonthlyArchive monthly;
  monthly.cells = 1;
  monthly.months = 12 * 200;
  monthly.first_month = {1600, 1};
  monthly.rain_mm.assign(2400, rain_mm);
  monthly.tmin_c.assign(2400, 5);
  monthly.tmax_c.assign(2400, 12);
  return monthly;
}

struct WetDayCounts {
  double wet = 0, after_wet = 0;  // share of wet days; of wet days after a wet one
};

WetDayCounts count_wet(const WeatherArchive& daily) {
  double wet = 0, wet_after_wet = 0, after_wet = 0;
  for (int d = 1; d < daily.days; ++d) {
    const bool before = daily.rain_cmm[static_cast<std::size_t>(d - 1)] > 0, now = daily.rain_cmm[static_cast<std::size_t>(d)] > 0;
    wet += now;
    after_wet += before;
    wet_after_wet += before && now;
  }
  return {wet / daily.days, wet_after_wet / after_wet};
}

// Wet days of every month of one cell.
std::vector<int> wet_days_by_month(const WeatherArchive& daily, int months) {
  std::vector<int> wet;
  int day = 0;
  for (int m = 0; m < months; ++m) {
    wet.push_back(0);
    const int n = days_in(add_months({daily.first_day.year(), daily.first_day.month()}, m));
    for (int d = 0; d < n; ++d) wet.back() += daily.rain_cmm[static_cast<std::size_t>(day++)] > 0 ? 1 : 0;
  }
  return wet;
}

}  // namespace

TEST_CASE("Wet days follow the chain of Geng et al. 1986 over many months, and none is under the gauge's step") {
  const auto season = make_season();
  const auto daily = disaggregate(even_months(82.5), make_land(1, {soil_of(0.40, 0.20)}), season);
  // Expected share f = 82.5 / (30.44 x 5.5) = 0.493; after a wet day 0.25 + 0.75 f = 0.620. Sampling error of 73,000 days
  // about 0.003.
  const auto counts = count_wet(daily);
  CHECK(within(counts.wet, 0.493, 0.01));
  CHECK(within(counts.after_wet, 0.620, 0.01));
  for (auto cmm : daily.rain_cmm)
    if (cmm > 0 && cmm < 10) FAIL("a wet day of less than 0.1 mm");
}

TEST_CASE("Without counted wet days they grow as rain to the power 0.45, and the archive's mean wet day is the parameter's") {
  const RainLaw law{5.5, 0.45, 0.25, 0, 10, 0};
  const std::vector<double> rain = {20, 80, std::nan(""), 0, 160};
  const auto days = expected_wet_days(law, rain, {});
  CHECK(days[1] / days[0] == doctest::Approx(std::pow(4.0, 0.45)).epsilon(1e-12));
  CHECK(days[4] / days[1] == doctest::Approx(std::pow(2.0, 0.45)).epsilon(1e-12));
  CHECK(days[3] == 0);
  CHECK(260 / (days[0] + days[1] + days[4]) == doctest::Approx(5.5).epsilon(1e-12));
  SUBCASE("and over drawn months") {
    auto monthly = even_months(0);
    for (std::size_t m = 0; m < monthly.rain_mm.size(); ++m) monthly.rain_mm[m] = m % 2 == 0 ? 25 : 100;
    const auto daily = disaggregate(monthly, make_land(1, {soil_of(0.40, 0.20)}), make_season());
    double dry = 0, wet = 0;
    const auto found = wet_days_by_month(daily, monthly.months);
    for (std::size_t m = 0; m < found.size(); ++m) (m % 2 == 0 ? dry : wet) += found[m] / 1200.0;
    // 62.5 / 5.5 = 11.36 days a month in the mean, in the ratio 4^0.45 = 1.866: 7.93 and 14.80. Sampling error about 0.1.
    CHECK(within(dry, 7.93, 0.3));
    CHECK(within(wet, 14.80, 0.3));
  }
}

TEST_CASE("Counted wet days are kept in every month") {
  auto monthly = even_months(60);
  monthly.wet_days.resize(monthly.rain_mm.size());
  for (std::size_t m = 0; m < monthly.wet_days.size(); ++m) monthly.wet_days[m] = static_cast<double>(m % 29);  // 0..28
  monthly.wet_days[7] = std::nan("");
  monthly.rain_mm[9] = 0.25, monthly.wet_days[9] = 12;  // no more days than 0.1 mm each
  const auto land = make_land(1, {soil_of(0.40, 0.20)});
  for (int variant : {0, 3}) {
    const auto found = wet_days_by_month(disaggregate(monthly, land, make_season(), variant), monthly.months);
    for (std::size_t m = 0; m < found.size(); ++m) {
      if (m == 7) continue;
      CAPTURE(m);
      CHECK(found[m] == (m == 9 ? 2 : std::max(1, static_cast<int>(monthly.wet_days[m]))));  // rain without a wet day: one
    }
  }
}

TEST_CASE("Wet spells of counted months are those of the plain chain in months that happen to have that count") {
  auto monthly = even_months(60);
  monthly.wet_days.assign(monthly.rain_mm.size(), 12);
  const auto daily = disaggregate(monthly, make_land(1, {soil_of(0.40, 0.20)}), make_season());
  // Drawn here again and again until twelve days are wet, month by month: the slow way to the same law.
  std::mt19937_64 engine(11);
  bool before = false;
  double after_wet = 0, wet_after_wet = 0;
  for (int m = 0; m < monthly.months; ++m) {
    const int n = days_in(add_months(monthly.first_month, m));
    const double f = 12.0 / n;
    std::vector<bool> wet;
    do {
      wet.assign(1, before);
      for (int d = 0; d < n; ++d) wet.push_back(uniform(engine) < (wet.back() ? 0.25 + 0.75 * f : 0.75 * f));
    } while (std::count(wet.begin() + 1, wet.end(), true) != 12);
    for (std::size_t d = 1; d < wet.size(); ++d) {
      after_wet += wet[d - 1];
      wet_after_wet += wet[d - 1] && wet[d];
    }
    before = wet.back();
  }
  // 28,800 wet days each: sampling error about 0.004.
  CHECK(within(count_wet(daily).after_wet, wet_after_wet / after_wet, 0.015));
}

TEST_CASE("Cells share the weather of a day: all of it, none of it, or a part") {
  auto monthly = even_months(75);
  monthly.months = 1200;
  monthly.cells = 2;
  const auto land = make_land(2, {soil_of(0.40, 0.20)});
  auto season = make_season();
  // Share of days on which both cells are wet or both dry.
  const auto agreement = [&](double common_share) {
    season.parameters.set("wet_day_common_share", common_share);
    const auto daily = disaggregate(monthly, land, season);
    double same = 0;
    for (int d = 0; d < daily.days; ++d) same += (daily.rain_cmm[daily.at(d, 0)] > 0) == (daily.rain_cmm[daily.at(d, 1)] > 0);
    return same / daily.days;
  };
  CHECK(agreement(1) == 1);
  CHECK(within(agreement(0), 0.448 * 0.448 + 0.552 * 0.552, 0.01));  // independent: 75 / (30.44 x 5.5) = 0.448 are wet
  // Normals that correlate by 0.7, cut near their median, lie on one side on 1/2 + asin(0.7)/pi = 0.747 of days; the chain's memory
  // adds or takes a little.
  CHECK(within(agreement(0.7), 0.747, 0.03));
}

TEST_CASE("The gamma law's shape is that of Geng et al. 1986") {
  // Scale -2.16 + 1.83 x mean, shape = mean / scale: 10 mm 10/16.14 = 0.6196; 3 mm 3/3.33 = 0.9009, held below.
  CHECK(within(geng_shape(10), 0.6196, 5e-5));
  CHECK(within(geng_shape(3), 0.9009, 5e-5));
  CHECK(geng_shape(1) == geng_shape(3));
}

TEST_CASE("Seattle by months and back: counts and totals kept, spells and heavy days of the real series") {
  const auto real = seattle_archive();
  MonthlyArchive monthly;
  monthly.cells = 1;
  monthly.months = 48;
  monthly.first_month = {2012, 1};
  int day = 0;
  for (int m = 0; m < 48; ++m) {
    const int n = days_in(add_months(monthly.first_month, m));
    double rain = 0, low = 0, high = 0, wet = 0;
    for (int d = 0; d < n; ++d, ++day) {
      const auto at = static_cast<std::size_t>(day);
      rain += real.rain_cmm[at] / 100.0;
      low += real.tmin_cc[at] / 100.0 / n;
      high += real.tmax_cc[at] / 100.0 / n;
      wet += real.rain_cmm[at] >= 10 ? 1 : 0;
    }
    monthly.rain_mm.push_back(rain);
    monthly.tmin_c.push_back(low);
    monthly.tmax_c.push_back(high);
    monthly.wet_days.push_back(wet);
  }
  const auto land = make_land(1, {soil_of(0.40, 0.20)}, 47.45);
  const auto season = make_season();
  const auto heavy = [](const WeatherArchive& archive) {  // share of the rain that falls on days of 10 mm and more
    double sum = 0, all = 0;
    for (auto cmm : archive.rain_cmm) all += cmm, sum += cmm >= 1000 ? cmm : 0;
    return sum / all;
  };
  double after_wet = 0, share_heavy = 0;
  for (int variant = 0; variant < 8; ++variant) {
    const auto drawn = disaggregate(monthly, land, season, variant);
    CHECK(wet_days_by_month(drawn, 48) == wet_days_by_month(real, 48));
    after_wet += count_wet(drawn).after_wet / 8;
    share_heavy += heavy(drawn) / 8;
  }
  MESSAGE("wet after wet: drawn ", after_wet, ", real ", count_wet(real).after_wet);
  MESSAGE("share of rain on days of 10 mm and more: drawn ", share_heavy, ", real ", heavy(real));
  CHECK(within(after_wet, count_wet(real).after_wet, 0.05));
  CHECK(within(share_heavy, heavy(real), 0.06));
}
