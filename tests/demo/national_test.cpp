// The national season: the same bytes on any number of threads, whole regions, and weather by the same laws as the demo's.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <string>

#include "demo-regions/national_land.h"
#include "demo-regions/weather_generator.h"
#include "demo-regions/weather_laws.h"
#include "demo-regions/wide_weather.h"
#include "tests/demo/made_folder.h"
#include "tests/demo/made_weather.h"

namespace rickyard::demo {
namespace {

std::map<std::string, std::string> made(const std::string& name, const std::string& options) {
  return made_folder(name, "--national", options);
}

/// A few hundred cells of the national land and all their weather.
struct Made {
  NationalLand land = make_national_land(kSeed, 600, 12);
  std::vector<YearAnomaly> years = make_year_anomalies(kSeed);
  struct Day {
    std::size_t year = 0;
    int day_of_year = 0;
    std::vector<std::int16_t> rain_cmm, tmin_cc, tmax_cc;  // [land cell]
  };
  std::vector<Day> days;

  Made() {
    int total = 0;
    for (const auto& year : years) total += days_in_year(year.year);
    const NodeGrid nodes = weather_nodes(land);
    const WideCells cells(nodes, land.climates, land.row_start);
    const WideFields fields(nodes, total, kSeed);
    int first = 0;
    for (std::size_t y = 0; y < years.size(); ++y) {
      WideYear weather(cells, fields, years, y, first);
      const int length = days_in_year(years[y].year);
      for (int day = 1; day <= length; ++day) {
        Day out{y, day, {}, {}, {}};
        for (auto* values : {&out.rain_cmm, &out.tmin_cc, &out.tmax_cc}) values->resize(cells.size());
        weather.next(out.rain_cmm, out.tmin_cc, out.tmax_cc);
        days.push_back(std::move(out));
      }
      first += length;
    }
  }
};
const Made& wide() {
  static const Made made;
  return made;
}

}  // namespace

TEST_CASE("National: the same bytes on one thread and on three, whatever the number of years beside") {
  const auto one = made("one", "--cells 600 --regions 9 --years 3 --threads 1"),
             three = made("three", "--cells 600 --regions 9 --years 3 --threads 3");
  REQUIRE(one.size() == 9 + 6 + 5);  // weather, soil, regions, season.toml and three tables
  REQUIRE(one.contains("weather/rain_2026.tif"));
  REQUIRE(three.size() == one.size());
  for (const auto& [name, bytes] : one) {
    CAPTURE(name);
    CHECK(three.at(name) == bytes);
  }
  CHECK(made("other", "--cells 600 --regions 9 --years 1 --seed 8").at("weather/rain_2026.tif") != one.at("weather/rain_2026.tif"));
}

TEST_CASE("National: wrong options are refused") {
  CHECK(std::system("\"" RICKYARD_DEMO_PROGRAM "\" --national 2> /dev/null") != 0);
  CHECK(std::system("\"" RICKYARD_DEMO_PROGRAM "\" x --cells 600 2> /dev/null") != 0);
  CHECK(std::system("\"" RICKYARD_DEMO_PROGRAM "\" --national x --cells 10 2> /dev/null") != 0);
}

TEST_CASE("National: about the cells asked for, of one square kilometre where 240,000 are asked for, and regions that part the islands") {
  const NationalLand land = make_national_land(kSeed, 24000, 200);
  CHECK(static_cast<double>(land.land.size()) == doctest::Approx(24000).epsilon(0.05));
  const double km = 111.2 * land.grid.step_deg;
  CHECK(km * km * std::cos(56 * 3.14159265 / 180) == doctest::Approx(10).epsilon(0.05));
  REQUIRE(land.regions.size() == 200);
  std::set<std::string> ids;
  for (const auto& region : land.regions) ids.insert(region.id);
  CHECK(ids.size() == 200);
  std::vector<int> cells(200);
  int outside = 0;
  for (const std::size_t cell : land.land) land.region_of[cell] >= 0 ? ++cells[static_cast<std::size_t>(land.region_of[cell])] : ++outside;
  CHECK(*std::ranges::min_element(cells) > 40);
  CHECK(outside < 1500);  // at the coast and on lakes only
}

TEST_CASE("National: wet days and their rain follow the laws of Richardson's scheme") {
  const auto& made = wide();
  for (std::size_t cell = 0; cell < made.land.land.size(); cell += 40) {
    double seen = 0, expected = 0, variance = 0, wet_days = 0, shares = 0;
    bool was_wet = made.days[0].rain_cmm[cell] > 0;
    for (std::size_t d = 1; d < made.days.size(); ++d) {
      const auto& day = made.days[d];
      const RainLaw law = rain_law(made.land.climates[cell], made.years[day.year], day.day_of_year);
      const double p = was_wet ? law.wet_after_wet : law.wet_after_dry;
      const bool wet = day.rain_cmm[cell] > 0;
      seen += wet, expected += p, variance += p * (1 - p);
      if (wet) wet_days += 1, shares += (0.01 * day.rain_cmm[cell] - kLeastRainMm) / (law.mean_wet_day_mm - kLeastRainMm);
      was_wet = wet;
    }
    CAPTURE(cell);
    CHECK(std::abs(seen - expected) < 4 * std::sqrt(variance));
    // Variance of a gamma share 1 / shape, of the local showers about it 1/48 of its square.
    CHECK(std::abs(shares / wet_days - 1) < 4 * std::sqrt((1 / kGammaShape + 0.05) / wet_days));
  }
}

TEST_CASE("National: temperature residuals keep the given correlations, and neighbours share the weather") {
  const auto& made = wide();
  const std::size_t cell = 250;
  std::vector<double> tmax, tmin, near, far;
  for (const auto& day : made.days) {
    const auto residual = [&](std::size_t at, bool warmest) {
      const bool wet = day.rain_cmm[at] > 0;
      const TemperatureLaw law = temperature_law(made.land.climates[at], made.years[day.year], day.day_of_year, wet);
      return warmest ? (0.01 * day.tmax_cc[at] - law.tmax_mean_c) / law.tmax_sd_c
                     : (0.01 * day.tmin_cc[at] - law.tmin_mean_c) / law.tmin_sd_c;
    };
    tmax.push_back(residual(cell, true)), tmin.push_back(residual(cell, false));
    near.push_back(residual(cell + 1, true)), far.push_back(residual(made.land.land.size() - 1, true));
  }
  double square = 0;
  for (const double value : tmax) square += value * value / static_cast<double>(tmax.size());
  CHECK(std::sqrt(square) == doctest::Approx(1).epsilon(0.05));
  CHECK(correlation(tmax, tmin) == doctest::Approx(kSameDay).epsilon(0.08));
  const std::vector<double> later(tmax.begin() + 1, tmax.end()), earlier(tmax.begin(), tmax.end() - 1);
  CHECK(std::abs(correlation(later, earlier) - kNextDay[0][0]) < 0.05);
  CHECK(correlation(tmax, near) > 0.9);
  CHECK(correlation(tmax, far) < correlation(tmax, near));
}

}  // namespace rickyard::demo
