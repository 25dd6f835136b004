// A real daily series through the weather code, monthly totals to days, suitability.
#include <doctest/doctest.h>

#include <cmath>

#include "planner/base/problem.h"
#include "planner/crop/crop_run.h"
#include "planner/crop/stages.h"
#include "planner/weather/cell_days.h"
#include "planner/weather/daily_rain.h"
#include "planner/weather/disaggregate.h"
#include "planner/weather/suitability.h"
#include "tests/forecast/season_maker.h"
#include "tests/forecast/seattle.h"
#include "tests/forecast/weather_maker.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }

Land seattle_land() {
  auto land = make_land(1, {soil_of(0.40, 0.20)}, 47.45);
  land.cells[0].lon_deg = -122.3;
  land.cells[0].elevation_m = 130;
  return land;
}

CellDays read_all(const WeatherArchive& archive, const Land& land, const SeasonPatch& patch) {
  CellDays days;
  CellDayReader(archive, land.cells, {}, patch).read(0, sun_table(land.cells[0].lat_deg), 0, archive.days, days);
  return days;
}

}  // namespace

TEST_CASE("Seattle 2012-2015: figures of the file (check-values 13.1)") {
  const auto archive = seattle_archive();
  const auto land = seattle_land();
  REQUIRE(archive.days == 1461);
  const auto days = read_all(archive, land, {});
  const int year_start[] = {0, 366, 731, 1096, 1461};
  const double rain[] = {1226.0, 828.0, 1232.8, 1139.2}, april_august[] = {221.7, 277.6, 270.5, 157.9},
               degree_days[] = {1706.80, 1938.75, 1939.95, 2060.70};
  const int wet_days[] = {177, 152, 150, 144}, ripe_day_of_june[] = {28, 19, 19, 17};
  for (int y = 0; y < 4; ++y) {
    CAPTURE(y);
    double total = 0, season = 0, warmth = 0, since_april = 0;
    int wet = 0;
    Date reached;
    for (int day = year_start[y]; day < year_start[y + 1]; ++day) {
      const auto d = static_cast<std::size_t>(day);
      const Date date = archive.first_day + boost::gregorian::days(day);
      total += days.rain_mm[d];
      wet += days.rain_mm[d] > 0 ? 1 : 0;
      if (date.month() >= 4 && date.month() <= 8) season += days.rain_mm[d];
      if (date.month() < 4) continue;
      const double degrees = thermal_units(days.warmth[d], 0) / kThermalUnitsPerDegreeDay;
      if (date.month() <= 7) warmth += degrees;
      since_april += degrees;
      if (since_april >= 1100 && reached.is_special()) reached = date;
    }
    CHECK(within(total, rain[y], 1e-6));
    CHECK(wet == wet_days[y]);
    CHECK(within(season, april_august[y], 1e-6));
    CHECK(within(warmth, degree_days[y], 1e-6));
    CHECK(reached == Date(static_cast<unsigned short>(2012 + y), 6, static_cast<unsigned short>(ripe_day_of_june[y])));
  }
  double hargreaves_2012 = 0, above_5 = 0;
  for (std::size_t d = 0; d < 366; ++d) {
    hargreaves_2012 += days.et0_mm[d];
    above_5 += thermal_units(days.warmth[d], 5) / kThermalUnitsPerDegreeDay;
  }
  CHECK(within(hargreaves_2012, 799.087, 0.0005));
  CHECK(within(above_5, 2396.20, 1e-6));  // method 1, base 5 C, whole year
}

TEST_CASE("Seattle: the crop runs over three whole seasons") {
  const auto archive = seattle_archive();
  const auto land = seattle_land();
  auto season = make_season();
  const std::vector<CropRun> runs = {{{3, 31}, {0}}};
  const auto records = run_crop(land, archive, runs, season, {}, 1, nullptr);
  CHECK(records.harvest_years == std::vector<int>{2013, 2014, 2015});
  for (int y = 0; y < 3; ++y) {
    const auto& r = records.at(0, y, 0);
    CAPTURE(records.harvest_years[static_cast<std::size_t>(y)]);
    CHECK(r.sown >= 211);
    CHECK(r.sown < r.emerged);
    CHECK(r.emerged < r.stem_extension);
    CHECK(r.stem_extension < r.heading);
    CHECK(r.heading < r.ripe);
    CHECK(r.ripe < r.harvested);
    CHECK(r.relative_yield > 0);
    CHECK(r.water_factor < 0.9);  // three rainless summers
    CHECK(within(r.rain_mm - r.et_mm - r.runoff_mm - r.drainage_mm - r.storage_change_mm, 0, 1e-9));
  }
  // 2015 was the warmest of the three: ripe first and the least light caught.
  CHECK(records.at(0, 2, 0).ripe < records.at(0, 0, 0).ripe);
  SUBCASE("an archive that begins in January reaches its first harvest with start = field_capacity") {
    season.start = SeasonStart::field_capacity;
    const auto more = run_crop(land, archive, runs, season, {}, 1, nullptr);
    CHECK(more.harvest_years == std::vector<int>{2012, 2013, 2014, 2015});
    const auto days = read_all(archive, land, {});
    double until_october = 0;  // 1 January to 31 October 2012: 305 days
    for (std::size_t d = 0; d < 305; ++d) until_october += days.rain_mm[d];
    CHECK(within(more.at(0, 0, 0).rain_mm, until_october, 1e-9));
    const auto& r = more.at(0, 0, 0);
    CHECK(within(r.rain_mm - r.et_mm - r.runoff_mm - r.drainage_mm - r.storage_change_mm, 0, 1e-9));
  }
}

TEST_CASE("A case changes the quantised weather before ET0") {
  const auto archive = seattle_archive();
  const auto land = seattle_land();
  SeasonPatch patch;
  patch.temperature_shift_c = 1.0;
  patch.rain_factor[5] = 0.5;
  CHECK(changes_weather(patch));
  CHECK_FALSE(changes_weather({}));
  const auto base = read_all(archive, land, {}), changed = read_all(archive, land, patch);
  for (std::size_t d = 0; d < base.rain_mm.size(); ++d) {
    const bool june = (archive.first_day + boost::gregorian::days(static_cast<long>(d))).month() == 6;
    CHECK(changed.warmth[d] == base.warmth[d] + 200);
    if (june)
      CHECK(within(changed.rain_mm[d], base.rain_mm[d] / 2, 0.00501));  // rounded to 0.01 mm
    else
      CHECK(changed.rain_mm[d] == base.rain_mm[d]);
    CHECK(changed.et0_mm[d] >= base.et0_mm[d]);
  }
}

TEST_CASE("Penman-Monteith runs from the quantised arrays and fills single gaps") {
  WeatherArchive archive;
  archive.cells = 1;
  archive.days = 2;
  archive.first_day = Date(2025, 7, 6);
  archive.rain_cmm = {0, 0};
  archive.tmin_cc = {1230, 1230};
  archive.tmax_cc = {2150, 2150};
  archive.wind_cms = {208, WeatherArchive::kMissingOther};
  archive.vapour_pa = {1409, 1409};
  archive.radiation_cmj = {2207, 2207};
  auto land = make_land(1, {soil_of(0.40, 0.20)}, 50.8);
  land.cells[0].elevation_m = 100;
  const auto days = read_all(archive, land, {});
  CHECK(within(days.et0_mm[0], 3.88, 0.01));  // FAO-56 example 18 with inputs rounded to the archive's steps
  CHECK(days.et0_mm[1] < days.et0_mm[0]);     // the missing wind is 2.00 m/s instead of 2.08
  CHECK(within(days.et0_mm[1], days.et0_mm[0], 0.03));
}

TEST_CASE("A missing day is refused with cell and date") {
  auto archive = seattle_archive();
  archive.rain_cmm[1000] = WeatherArchive::kMissingRain;  // 27 September 2014
  const auto land = seattle_land();
  const auto season = make_season();
  const std::vector<CropRun> runs = {{{3, 31}, {0}}};
  try {
    run_crop(land, archive, runs, season, {}, 2, nullptr);
    FAIL("no error");
  } catch (const InputError& error) {
    REQUIRE(error.problems.size() == 1);
    CHECK(error.problems[0].place.find("rasters.rain: cell 0") != std::string::npos);
    CHECK(error.problems[0].place.find("2014-09-27") != std::string::npos);
  }
}

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
  const RainLaw law{5.5, 0.45, 0.25, 0, 10};
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
  const auto land = seattle_land();
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

TEST_CASE("Suitability says each point with its figure") {
  std::vector<Climate> climates(2);
  climates[0].annual_rain_mm = 800;
  climates[1].annual_rain_mm = 1500;
  const auto archive = make_archive(climates, Date(2000, 1, 1), Date(2019, 12, 31), 11);
  const auto land = make_land(2, {soil_of(0.40, 0.20)});
  const auto good = suitability(land, archive, 0), wet = suitability(land, archive, 1);
  REQUIRE(good.size() == 5);
  CHECK(good[0].find("suits") != std::string::npos);
  CHECK(wet[0].find("outside") != std::string::npos);
  CHECK(wet[0].find("waterlogged") != std::string::npos);
  CHECK(good[4].find("17.") != std::string::npos);  // 56 N: 17.3 to 17.6 h in June
  CHECK(good[1].find("0 % of the land") != std::string::npos);
}
