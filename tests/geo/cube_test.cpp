// NetCDF on CF axes: calendars, packing, chunks, orientation.
#include <doctest/doctest.h>

#include <cmath>
#include <numeric>

#include "scene.h"

using namespace rickyard;
using namespace rickyard::test;

namespace {

// One file with three variables in place of the scene's rasters.
struct CubeScene : Scene {
  Cube cube;
  CubeScene() {
    cube.variables = {{"pr", "mm", {}, {}, {}, false, [](int b, int r, int c) { return 0.25 * b + r + 0.01 * c; }},
                      {"tn", "C", {}, {}, {}, false, [](int b, int, int) { return b % 10; }},
                      {"tx", "C", {}, {}, {}, false, [](int b, int, int) { return 10.0 + b % 10; }}};
    season.rasters = {};
    for (const auto& [key, variable] : {std::pair{"rain", "pr"}, {"tmin", "tn"}, {"tmax", "tx"}}) {
      RasterSource source;
      source.path = "weather.nc";
      source.variable = variable;
      season.rasters[key] = source;
    }
  }
  void days(int n) {
    cube.times.resize(static_cast<std::size_t>(n));
    std::iota(cube.times.begin(), cube.times.end(), 0);
  }
  GeoReading read_cube() {
    write();
    std::filesystem::remove(folder / "weather.nc");
    write_cube(folder / "weather.nc", cube);
    return read();
  }
};

long long total_rain(const WeatherArchive& archive, int cell) {
  long long sum = 0;
  for (int day = 0; day < archive.days; ++day) sum += archive.rain_cmm[archive.at(day, cell)];
  return sum;
}

}  // namespace

TEST_CASE("a NetCDF file with three variables and latitudes from south to north") {
  CubeScene scene;
  const auto reading = scene.read_cube();
  CHECK(lines(reading.problems) == "");
  REQUIRE(reading.daily.has_value());
  CHECK(reading.daily->days == 3);
  CHECK(reading.grid.north == doctest::Approx(57));
  CHECK(reading.grid.west == doctest::Approx(-3));
  // Cell 7 is row 1, column 3: 0.25 + 1 + 0.03 on the second day.
  CHECK(reading.daily->rain_cmm[reading.daily->at(1, 7)] == 128);
  scene.cube.north_first = true;
  const auto turned = scene.read_cube();
  CHECK(lines(turned.problems) == "");
  CHECK(turned.daily->rain_cmm == reading.daily->rain_cmm);
}

TEST_CASE("365_day: 29 February takes the temperatures of the 28th and no rain; totals stay") {
  CubeScene scene;
  scene.cube.calendar = "365_day";
  scene.cube.time_unit = "days since 2003-01-01";
  scene.days(730);
  scene.cube.variables[0].value = [](int, int, int) { return 2.0; };
  const auto reading = scene.read_cube();
  CHECK(lines(reading.problems) == "");
  const WeatherArchive& archive = *reading.daily;
  CHECK(archive.days == 731);
  const int leap_day = 365 + 59;
  CHECK(to_text(date_of(day_number(archive.first_day) + leap_day)) == "2004-02-29");
  CHECK(archive.rain_cmm[archive.at(leap_day, 0)] == 0);
  CHECK(archive.tmin_cc[archive.at(leap_day, 0)] == archive.tmin_cc[archive.at(leap_day - 1, 0)]);
  CHECK(archive.tmax_cc[archive.at(leap_day, 0)] == archive.tmax_cc[archive.at(leap_day - 1, 0)]);
  CHECK(archive.tmin_cc[archive.at(leap_day + 1, 0)] != archive.tmin_cc[archive.at(leap_day, 0)]);
  CHECK(total_rain(archive, 0) == 730 * 200);
}

TEST_CASE("360_day: model day k falls on floor(k L / 360); totals stay") {
  CubeScene scene;
  scene.cube.calendar = "360_day";
  scene.cube.time_unit = "days since 2003-01-01";
  scene.days(720);
  scene.cube.variables[0].value = [](int b, int, int) { return 1.0 + b % 360; };
  const auto reading = scene.read_cube();
  CHECK(lines(reading.problems) == "");
  const WeatherArchive& archive = *reading.daily;
  CHECK(archive.days == 731);
  // Day 100 of 2003 (k = 100): real day floor(100 x 365 / 360) = 101. k = 72 falls on day 73, so day 72 has no rain of its own.
  CHECK(archive.rain_cmm[archive.at(101, 0)] == 10100);
  CHECK(archive.rain_cmm[archive.at(73, 0)] == 7300);
  CHECK(archive.rain_cmm[archive.at(72, 0)] == 0);
  CHECK(archive.tmin_cc[archive.at(72, 0)] == archive.tmin_cc[archive.at(71, 0)]);
  CHECK(total_rain(archive, 0) == 2 * 100LL * (360 * 361 / 2));
}

TEST_CASE("a declared calendar is used where the file names none") {
  CubeScene scene;
  scene.cube.calendar = "";
  scene.cube.time_unit = "days since 2004-02-28";
  for (auto& [key, source] : scene.season.rasters) source.calendar = "noleap";
  const auto reading = scene.read_cube();
  CHECK(lines(reading.problems) == "");
  CHECK(reading.daily->days == 4);  // 28 and 29 February, 1 and 2 March
  CHECK(reading.declared.size() == 3);
}

TEST_CASE("kg m-2 s-1, kelvin, packed integers and fill values") {
  CubeScene scene;
  auto& rain = scene.cube.variables[0];
  rain.unit = "kg m-2 s-1";
  rain.value = [](int, int, int) { return 4.0e-5; };  // 3.456 mm a day
  auto& tmin = scene.cube.variables[1];
  tmin = {"tn", "K", -32768, 0.01, 273.15, true, [](int b, int, int) { return b == 1 ? 250.0 : 300.0; }};  // 2.5 and 3 C
  const auto reading = scene.read_cube();
  CHECK(lines(reading.problems) == "");
  CHECK(reading.daily->rain_cmm[0] == 346);
  CHECK(reading.daily->tmin_cc[reading.daily->at(0, 0)] == 300);
  CHECK(reading.daily->tmin_cc[reading.daily->at(1, 0)] == 250);
}

TEST_CASE("hours, and a fill value that stands for sea: the cell is dropped, the region warned about") {
  CubeScene scene;
  scene.cube.time_unit = "hours since 2001-01-01 12:00:00";
  scene.cube.times = {0, 24, 48};
  scene.cube.variables[0].fill = 1e20;
  scene.cube.variables[0].value = [](int, int r, int c) { return r == 0 && c == 0 ? 1e20 : 1.0; };
  const auto reading = scene.read_cube();
  // "north" has 3 cells' worth of area (0.3 x 0.1 degrees); the corner cell holds a quarter cell of it: 1/12 of the area.
  CHECK(lines(reading.problems) ==
        "warning: regions.gpkg: region \"north\": \"91.67 %\": only this part of its area has weather and soil; the rest is left out of "
        "the forecast");
  CHECK(reading.grid.cell_index.front() == 1);
  CHECK(reading.land.warnings.size() == 1);
  CHECK(reading.land.regions[0].valid_share == doctest::Approx(11.0 / 12).epsilon(1e-3));
}

TEST_CASE("chunks of any shape give the same answer") {
  CubeScene scene;
  scene.days(50);
  const auto plain = scene.read_cube();
  CHECK(lines(plain.problems) == "");
  for (const char* chunks : {"1,3,4", "50,1,1", "7,2,3", "16,3,2"}) {
    scene.cube.chunks = chunks;
    const auto chunked = scene.read_cube();
    CHECK(lines(chunked.problems) == "");
    CHECK(chunked.daily->rain_cmm == plain.daily->rain_cmm);
    CHECK(chunked.daily->tmax_cc == plain.daily->tmax_cc);
  }
}

TEST_CASE("Zarr gives the same answer as NetCDF") {
  CubeScene scene;
  scene.days(20);
  const auto netcdf = scene.read_cube();
  scene.cube.driver = "Zarr";
  write_cube(scene.folder / "weather.zarr", scene.cube);
  for (auto& [key, source] : scene.season.rasters) source.path = "weather.zarr";
  const auto zarr = scene.read();
  CHECK(lines(zarr.problems) == "");
  REQUIRE(zarr.daily.has_value());
  CHECK(zarr.daily->rain_cmm == netcdf.daily->rain_cmm);
  CHECK(zarr.daily->tmin_cc == netcdf.daily->tmin_cc);
  for (const auto& file : zarr.files) CHECK(std::filesystem::is_regular_file(file));
}

TEST_CASE("monthly stacks go to the monthly archive; rates are multiplied by the days of the month") {
  CubeScene scene;
  scene.cube.time_unit = "days since 2004-01-01";
  scene.cube.times = {15, 45, 75};
  scene.cube.variables[0].unit = "mm/day";
  scene.cube.variables[0].value = [](int, int, int) { return 2.0; };
  for (auto& [key, source] : scene.season.rasters) source.step = "month";
  const auto reading = scene.read_cube();
  CHECK(lines(reading.problems) == "");
  CHECK_FALSE(reading.daily.has_value());
  REQUIRE(reading.monthly.has_value());
  CHECK(reading.monthly->months == 3);
  CHECK(reading.monthly->first_month == Month{2004, 1});
  CHECK(reading.monthly->rain_mm[0] == 62);
  CHECK(reading.monthly->rain_mm[static_cast<std::size_t>(reading.monthly->cells)] == 58);
}

TEST_CASE("wet days of monthly archives: read, bounded to 0..31, gaps kept as not known; not used with daily weather") {
  CubeScene scene;
  scene.cube.variables.push_back({"wd", "days", {}, {}, {}, false, [](int b, int r, int) { return 8.0 + b + 0.5 * r; }});
  scene.season.rasters["wet_days"] = scene.season.rasters["rain"];
  scene.season.rasters["wet_days"].variable = "wd";
  SUBCASE("daily weather") {
    CHECK(lines(scene.read_cube().problems) ==
          "warning: season.toml (rasters.wet_days): wet days are not used with daily weather; leave it out, or give monthly weather");
    return;
  }
  scene.cube.time_unit = "days since 2004-01-01";
  scene.cube.times = {15, 45, 75};
  for (auto& [key, source] : scene.season.rasters) source.step = "month";
  SUBCASE("as they stand") {
    const auto reading = scene.read_cube();
    CHECK(lines(reading.problems) == "");
    const auto& monthly = *reading.monthly;
    REQUIRE(monthly.wet_days.size() == monthly.rain_mm.size());
    CHECK(monthly.wet_days[0] == 8);
    CHECK(monthly.wet_days[static_cast<std::size_t>(2 * monthly.cells + 4)] == 10.5);  // third month, second row
  }
  SUBCASE("a month that is not known leaves the cell in use") {
    scene.cube.variables[3].value = [](int b, int, int) { return b == 1 ? std::nan("") : 9; };
    const auto reading = scene.read_cube();
    CHECK(lines(reading.problems) == "");
    CHECK(std::isnan(reading.monthly->wet_days[static_cast<std::size_t>(reading.monthly->cells)]));
    CHECK(reading.monthly->wet_days[0] == 9);
  }
  SUBCASE("more days than a month has") {
    scene.cube.variables[3].value = [](int, int, int) { return 32.0; };
    CHECK(lines(scene.read_cube().problems).find("wet_days is outside 0 to 31 days a month") != std::string::npos);
  }
}

TEST_CASE("faults of cubes, one by one") {
  CubeScene scene;
  SUBCASE("no variable named") {
    scene.season.rasters["rain"].variable = "";
    CHECK(lines(scene.read_cube().problems) ==
          "error: weather.nc: the file holds several variables: pr, tn, tx; name one by variable = \"...\"");
  }
  SUBCASE("no such variable") {
    scene.season.rasters["rain"].variable = "precip";
    CHECK(lines(scene.read_cube().problems) ==
          "error: weather.nc: \"precip\": there is no such variable on a grid; the file has: pr, tn, tx; name one that is there");
  }
  SUBCASE("a gap in time") {
    scene.cube.times = {0, 1, 5};
    const std::string says =
        "days do not follow each other: 3 days are missing between 2001-01-02 and 2001-01-06; give every day once, in order; where bands "
        "are months, state step = \"month\" in [rasters.";
    CHECK(lines(scene.read_cube().problems) == "error: weather.nc: band 3 (2001-01-06): " + says +
                                                   "rain]\nerror: weather.nc: band 3 (2001-01-06): " + says +
                                                   "tmin]\nerror: weather.nc: band 3 (2001-01-06): " + says + "tmax]");
  }
  SUBCASE("a calendar nobody lives by") {
    scene.cube.calendar = "julian";
    const std::string says =
        "error: weather.nc: \"julian\": the calendar cannot be used; give a file in the standard, 365_day or 360_day calendar";
    CHECK(lines(scene.read_cube().problems) == says + "\n" + says + "\n" + says);
  }
  SUBCASE("a calendar that contradicts") {
    scene.season.rasters["tmax"].calendar = "360_day";
    CHECK(lines(scene.read_cube().problems) ==
          "error: weather.nc: \"standard\": the file's calendar contradicts calendar = \"360_day\" in [rasters.tmax]; leave out calendar "
          "in season.toml, or correct the file");
  }
  SUBCASE("a truncated file") {
    scene.write();
    write_cube(scene.folder / "weather.nc", scene.cube);
    std::filesystem::resize_file(scene.folder / "weather.nc", std::filesystem::file_size(scene.folder / "weather.nc") / 2);
    const auto reading = scene.read();
    REQUIRE(reading.problems.size() == 3);
    CHECK(to_text(reading.problems[0]).starts_with("error: weather.nc: cannot be opened; GDAL says: \""));
  }
}
