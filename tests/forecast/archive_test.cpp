// A real daily series through the weather code; suitability.
#include <doctest/doctest.h>

#include <cmath>

#include "planner/base/problem.h"
#include "planner/crop/crop_run.h"
#include "planner/crop/stages.h"
#include "planner/weather/cell_days.h"
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
    const auto& b = records.balance(0, y, 0);
    CHECK(within(r.rain_mm - b.et_mm - b.runoff_mm - b.drainage_mm - b.storage_change_mm, 0, 1e-9));
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
    const auto& b = more.balance(0, 0, 0);
    CHECK(within(r.rain_mm - b.et_mm - b.runoff_mm - b.drainage_mm - b.storage_change_mm, 0, 1e-9));
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
