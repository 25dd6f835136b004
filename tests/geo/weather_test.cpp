// Weather that reads well: values, calendars, orientation, layout, units.
#include <doctest/doctest.h>

#include <cmath>
#include <numeric>

#include "geo/ellipsoid.h"
#include "scene.h"

using namespace rickyard;
using namespace rickyard::test;

namespace {

// A field that differs in every band, row and column, and does not round at halves.
double pattern(int b, int r, int c) { return 1.003 + b + 10.0 * r + 0.1 * c; }

std::uint16_t rain_at(const GeoReading& reading, int day, int row, int column) {
  for (std::size_t i = 0; i < reading.grid.cell_index.size(); ++i)
    if (reading.grid.cell_index[i] == row * reading.grid.columns + column)
      return reading.daily->rain_cmm[reading.daily->at(day, static_cast<int>(i))];
  FAIL("no such cell");
  return 0;
}

// Region means of everything, to compare two ways to store the same thing.
bool same_weather(const GeoReading& a, const GeoReading& b) {
  REQUIRE((a.daily && b.daily));
  return a.grid.cell_index == b.grid.cell_index && a.daily->rain_cmm == b.daily->rain_cmm && a.daily->tmin_cc == b.daily->tmin_cc &&
         a.daily->tmax_cc == b.daily->tmax_cc && a.daily->first_day == b.daily->first_day;
}

}  // namespace

TEST_CASE("a plain season: cells with land, quantised values, hectares by true area") {
  Scene scene;
  scene.rain.value = pattern;
  scene.write();
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  REQUIRE(reading.daily.has_value());
  CHECK_FALSE(reading.monthly.has_value());
  CHECK(reading.daily->days == 3);
  CHECK(to_text(reading.daily->first_day) == "2001-01-01");
  // Regions reach from 2.95 to 2.65 W and 56.95 to 56.75 N: all four columns and the three rows, each in part.
  CHECK(reading.grid.cell_index == std::vector<int>{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11});
  CHECK(rain_at(reading, 0, 0, 0) == 100);   // 1.003 mm
  CHECK(rain_at(reading, 2, 1, 3) == 1330);  // 13.303 mm
  CHECK(reading.daily->tmin_cc[0] == 200);
  CHECK(reading.daily->tmax_cc[5] == 1200);
  const Region& north = reading.land.regions[0];
  CHECK(north.id == "north");
  CHECK(north.name == "The north");
  CHECK(north.valid_share == 1);
  const double truth = parallel_cell_area_m2(0.3, 56.85, 56.95) / 1e4;
  CHECK(north.area_ha == doctest::Approx(truth).epsilon(1e-7));
  double ha = 0;
  for (const auto& share : north.units) ha += share.ha;
  // Coverage is a share in the plane of degrees; inside a cell the parallels narrow by 0.1 % a tenth of a degree.
  CHECK(ha == doctest::Approx(truth).epsilon(1e-3));
  // By hand: the cell of row 0, column 1 is half covered (56.95 to 56.9 of 57 to 56.9).
  CHECK(north.units[1].ha == doctest::Approx(0.5 * parallel_cell_area_m2(0.1, 56.9, 57) / 1e4).epsilon(1e-12));
  REQUIRE(reading.land.soils.size() == 1);
  CHECK(reading.land.units.size() == 12);
  CHECK(reading.land.cells[0].lon_deg == doctest::Approx(-2.95));
  CHECK(reading.land.cells[0].lat_deg == doctest::Approx(56.95));
  CHECK(reading.land.cells[0].width_deg == doctest::Approx(0.1));
  CHECK(reading.files.size() == 5);  // three rasters, the dates, the regions
}

TEST_CASE("only cells with land are kept, and renumbered") {
  Scene scene;
  scene.rain.value = pattern;
  scene.regions = {{"one", {{rectangle(-2.78, 56.81, -2.72, 56.89), {}}}}};
  scene.write();
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  CHECK(reading.grid.cell_index == std::vector<int>{6});
  CHECK(reading.daily->cells == 1);
  CHECK(reading.daily->rain_cmm == std::vector<std::uint16_t>{1120, 1220, 1320});
}

TEST_CASE("rounding: halves away from zero, once") {
  Scene scene;
  // 0.125, 0.375 and -0.125 are exact in binary, so these are true halves of a hundredth.
  scene.rain.value = [](int b, int, int) { return b == 0 ? 0.125 : b == 1 ? 0.375 : 0.0; };
  scene.tmin.value = [](int b, int, int) { return b == 0 ? -0.125 : b == 1 ? 0.125 : -0.375; };
  scene.write();
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  CHECK(reading.daily->rain_cmm[reading.daily->at(0, 0)] == 13);
  CHECK(reading.daily->rain_cmm[reading.daily->at(1, 0)] == 38);
  CHECK(reading.daily->tmin_cc[reading.daily->at(0, 0)] == -13);
  CHECK(reading.daily->tmin_cc[reading.daily->at(1, 0)] == 13);
  CHECK(reading.daily->tmin_cc[reading.daily->at(2, 0)] == -38);
}

TEST_CASE("a south-up grid gives the same answer as a north-up one") {
  Scene scene;
  scene.rain.value = pattern;
  scene.write();
  const auto north_up = scene.read();
  scene.rain.south_up = true;
  scene.tmax.south_up = true;
  scene.write();
  const auto south_up = scene.read();
  CHECK(lines(south_up.problems) == "");
  CHECK(same_weather(north_up, south_up));
}

TEST_CASE("band- and pixel-interleaved files give the same answer") {
  Scene scene;
  scene.rain.value = pattern;
  scene.write();
  const auto by_band = scene.read();
  scene.rain.pixel_interleaved = true;
  scene.write();
  CHECK(same_weather(by_band, scene.read()));
}

TEST_CASE("scale, offset and whole numbers: rain in tenths, temperature in tenths of kelvin") {
  Scene scene;
  scene.rain.integers = scene.tmin.integers = true;
  scene.rain.scale = 0.1;
  scene.rain.fill = scene.tmin.fill = -32768;
  scene.rain.value = [](int b, int, int c) { return 10.0 * b + c; };  // 0.1 mm
  scene.tmin.unit = "K";
  scene.tmin.scale = 0.1;
  scene.tmin.offset = 200;
  scene.tmin.value = [](int, int, int) { return 751.0; };  // 275.1 K = 1.95 C
  scene.write();
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  CHECK(reading.daily->tmin_cc[0] == 195);
  CHECK(rain_at(reading, 2, 1, 3) == 230);
}

TEST_CASE("scale, fill and unit may be stated where the file is silent, and are listed as declared") {
  Scene scene;
  scene.rain.unit = "";
  scene.rain.crs = "";
  scene.rain.value = [](int b, int r, int c) { return b == 1 && r == 1 && c == 1 ? -9999.0 : 20.0; };
  RasterSource& source = scene.season.rasters["rain"];
  source.unit = "mm";
  source.crs = "EPSG:4326";
  source.scale = 0.1;
  source.fill = -9999;
  scene.season.parameters = ParameterSet(std::span<const ParameterSpec>{});
  scene.regions = {{"north", {{rectangle(-3, 56.9, -2.6, 57), {}}}}};
  scene.write();
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  CHECK(reading.daily->rain_cmm[0] == 200);
  std::string declared;
  for (const auto& d : reading.declared) declared += d.what + "=" + d.value + "\n";
  CHECK(declared ==
        "rasters.rain.crs=EPSG:4326\nrasters.rain.fill=-9999\nrasters.rain.scale=0.1\nrasters.rain.unit=mm\nrasters.rain.dates=dates."
        "csv\nrasters.tmin.dates=dates.csv\n"
        "rasters.tmax.dates=dates.csv\n");
}

TEST_CASE("one file a year: whole years by their number of bands, in order") {
  Scene scene;
  for (const int year : {2003, 2004}) {
    scene.rain.bands = scene.tmin.bands = scene.tmax.bands = year == 2004 ? 366 : 365;
    scene.rain.value = [year](int b, int, int) { return (year - 2003) * 0.5 + b * 0.01; };
    scene.write();
    for (const char* key : {"rain", "tmin", "tmax"})
      std::filesystem::rename(scene.folder / (std::string(key) + ".tif"),
                              scene.folder / (std::string(key) + "_" + std::to_string(year) + ".tif"));
  }
  for (const char* key : {"rain", "tmin", "tmax"})
    scene.season.rasters[key] = RasterSource{std::string(key) + "_{year}.tif", "", "", "", "", "", {}, {}, {}, ""};
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  REQUIRE(reading.daily.has_value());
  CHECK(reading.daily->days == 731);
  CHECK(to_text(reading.daily->first_day) == "2003-01-01");
  CHECK(reading.daily->rain_cmm[reading.daily->at(364, 0)] == 364);
  CHECK(reading.daily->rain_cmm[reading.daily->at(365, 0)] == 50);
  CHECK(reading.daily->rain_cmm[reading.daily->at(730, 0)] == 50 + 365);
}

TEST_CASE("mean temperature with a stated range") {
  Scene scene;
  scene.season.rasters.erase("tmin");
  scene.season.rasters.erase("tmax");
  scene.season.rasters["tmean"] = RasterSource{"tmin.tif", "", "", "", "", "dates.csv", {}, {}, {}, ""};
  scene.season.diurnal_range_c = 9;
  scene.write();
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  CHECK(reading.daily->tmin_cc[0] == -250);
  CHECK(reading.daily->tmax_cc[0] == 650);
}

TEST_CASE("a projected grid: regions in degrees meet a grid in metres") {
  Scene scene;
  for (auto* raster : {&scene.rain, &scene.tmin, &scene.tmax}) {
    raster->crs = "EPSG:3035";
    raster->west = 3500000;
    raster->north = 3870000;
    raster->width = raster->height = 20000;
    raster->columns = raster->rows = 4;
  }
  scene.write();
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  double ha = 0;
  for (const auto& share : reading.land.regions[0].units) ha += share.ha;
  // An equal-area projection: coverage times true cell area is the true area.
  CHECK(ha == doctest::Approx(reading.land.regions[0].area_ha).epsilon(1e-7));
}

TEST_CASE("longitudes from 0 to 360 meet regions west of Greenwich") {
  Scene scene;
  scene.rain.value = pattern;
  scene.write();
  const auto plain = scene.read();
  for (auto* raster : {&scene.rain, &scene.tmin, &scene.tmax}) raster->west = 357;
  scene.write();
  const auto turned = scene.read();
  CHECK(lines(turned.problems) == "");
  CHECK(same_weather(plain, turned));
  CHECK(turned.land.cells[0].lon_deg == doctest::Approx(-2.95));
  for (std::size_t i = 0; i < plain.land.regions[0].units.size(); ++i)
    CHECK(turned.land.regions[0].units[i].ha == doctest::Approx(plain.land.regions[0].units[i].ha).epsilon(1e-9));
}

TEST_CASE("optional inputs: wind, relative humidity as vapour pressure, radiation, ET0") {
  Scene scene;
  scene.write();
  const auto add = [&](const char* key, const char* unit, double value) {
    BandRaster raster;
    raster.unit = unit;
    raster.value = [value](int, int, int) { return value; };
    write_bands(scene.folder / (std::string(key) + ".tif"), raster);
    scene.season.rasters[key] = RasterSource{std::string(key) + ".tif", "", "", "", "", "dates.csv", {}, {}, {}, ""};
  };
  add("wind", "m s-1", 2.5);
  add("humidity", "%", 80);
  add("radiation", "W m-2", 100);
  add("et0", "mm/day", 1.5);
  const auto reading = scene.read();
  CHECK(lines(reading.problems) ==
        "note: wind.tif: wind is taken as measured 2 m above ground; convert it first where it is not (FAO-56 equation 47)");
  CHECK(reading.daily->wind_cms[0] == 250);
  CHECK(reading.daily->radiation_cmj[0] == 864);
  CHECK(reading.daily->et0_cmm[0] == 150);
  // FAO-56 equations 11 and 19: e0(2) = 0.7056, e0(12) = 1.4028 kPa; 0.8 of their mean is 0.8433 kPa.
  CHECK(reading.daily->vapour_pa[0] == 843);
}
