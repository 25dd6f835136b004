// One broken raster per fault; each message is compared whole.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "scene.h"

using namespace rickyard;
using namespace rickyard::test;

TEST_CASE("a missing file") {
  Scene scene;
  scene.write();
  std::filesystem::remove(scene.folder / "tmin.tif");
  CHECK(lines(scene.read().problems) ==
        "error: tmin.tif: there is no such file; check the path; it is taken from the folder of season.toml");
}

TEST_CASE("a file that is no raster") {
  Scene scene;
  scene.write();
  write_text(scene.folder / "rain.tif", "these are not the cells you are looking for");
  CHECK(lines(scene.read().problems) ==
        "error: rain.tif: cannot be opened as a raster; GDAL says: \"`rain.tif' not recognized as a supported file format.\"; check that "
        "the file is whole and of a kind GDAL reads");
}

TEST_CASE("a truncated raster names the band") {
  Scene scene;
  for (auto* raster : {&scene.rain, &scene.tmin, &scene.tmax}) {
    raster->columns = 400;
    raster->rows = 300;
    raster->width = raster->height = 0.001;
  }
  scene.write();
  // Bands lie one after the other, 480,000 bytes each: what is left holds two and a bit.
  std::filesystem::resize_file(scene.folder / "rain.tif", 1000000);
  const auto reading = scene.read();
  REQUIRE(reading.problems.size() == 1);
  const std::string text = to_text(reading.problems[0]);
  CHECK_MESSAGE(text.starts_with("error: rain.tif: band 3: cannot be read; GDAL says: \""), text);
  CHECK(text.ends_with("\"; check that the file is whole"));
  CHECK(text.find(scene.folder.path().string()) == std::string::npos);
}

TEST_CASE("a rotated grid is refused") {
  Scene scene;
  scene.rain.skew = 0.01;
  CHECK(scene.problems() == "error: rain.tif: the grid is rotated; warp it to an unrotated grid first (gdalwarp)");
}

TEST_CASE("a raster without a reference system is refused unless stated") {
  Scene scene;
  scene.rain.crs = "";
  CHECK(scene.problems() ==
        "error: rain.tif: has no coordinate reference system; state it in [rasters.rain] of season.toml, for instance crs = \"EPSG:4326\"");
  scene.season.rasters["rain"].crs = "EPSG:4326";
  CHECK(scene.problems() == "");
  scene.season.rasters["rain"].crs = "EPSG:999999";
  CHECK(scene.problems() ==
        "error: season.toml (rasters.rain.crs): \"EPSG:999999\": is not a known reference system; write for instance \"EPSG:4326\"");
}

TEST_CASE("a reference system that contradicts the stated one") {
  Scene scene;
  scene.season.rasters["rain"].crs = "EPSG:3035";
  CHECK(scene.problems() ==
        "error: rain.tif: \"EPSG:4326\": the file's reference system contradicts crs = \"EPSG:3035\" in [rasters.rain]; leave out crs in "
        "season.toml, or correct the file");
}

TEST_CASE("too few dates for the bands") {
  Scene scene;
  scene.rain.bands = 4;
  CHECK(scene.problems() == "error: rain.tif: holds 4 bands, but dates.csv lists 3 dates; give one date a line, one line a band");
}

TEST_CASE("no dates at all") {
  Scene scene;
  scene.season.rasters["rain"].dates = "";
  CHECK(scene.problems() ==
        "error: rain.tif: does not say which dates its bands are; list them in a file and name it by dates = \"...\" in [rasters.rain] of "
        "season.toml");
}

TEST_CASE("one file a year with the wrong number of bands") {
  Scene scene;
  scene.write();
  std::filesystem::rename(scene.folder / "rain.tif", scene.folder / "rain_2003.tif");
  scene.season.rasters["rain"] = RasterSource{"rain_{year}.tif", "", "", "", "", "", {}, {}, {}, ""};
  CHECK(lines(scene.read().problems) ==
        "error: rain_2003.tif: holds 3 bands, but the year has 365 days; give the whole year, or list the dates of the bands in a file "
        "named by dates = \"...\"");
  scene.season.rasters["rain"].path = "wet_{year}.tif";
  CHECK(lines(scene.read().problems) ==
        "error: wet_{year}.tif: no file matches the pattern; check the path; it is taken from the folder of season.toml");
  scene.season.rasters["rain"].path = "{year}/rain_{year}.tif";
  CHECK(lines(scene.read().problems) ==
        "error: {year}/rain_{year}.tif: {year} must stand once, in the file's name; write for instance rain_{year}.tif");
}

TEST_CASE("days out of order, twice, or missing") {
  Scene scene;
  scene.write();
  const auto with_dates = [&](const char* dates) {
    write_text(scene.folder / "rain.csv", dates);
    scene.season.rasters["rain"].dates = "rain.csv";
    return lines(scene.read().problems);
  };
  const std::string remedy = "; give every day once, in order; where bands are months, state step = \"month\" in [rasters.rain]";
  CHECK(with_dates("2001-01-01\n2001-01-03\n2001-01-02\n") ==
        "error: rain.tif: band 2 (2001-01-03): days do not follow each other: 1 day is missing between 2001-01-01 and 2001-01-03" + remedy);
  CHECK(with_dates("2001-01-02\n2001-01-03\n2001-01-01\n") ==
        "error: rain.tif: band 3 (2001-01-01): days do not follow each other: 2001-01-01 comes after 2001-01-03" + remedy);
  CHECK(with_dates("2001-01-01\n2001-01-02\n2001-01-02\n") ==
        "error: rain.tif: band 3 (2001-01-02): days do not follow each other: 2001-01-02 comes twice" + remedy);
  CHECK(with_dates("2001-01-01\n2001-1-2\n2001-01-03\n") ==
        "error: rain.csv: line 2: \"2001-1-2\" is not a date YYYY-MM-DD; give one date YYYY-MM-DD a line, one line a band");
}

TEST_CASE("grids that disagree") {
  Scene scene;
  scene.tmax.west = -2.99;
  CHECK(scene.problems() ==
        "error: tmax.tif: its grid (4 x 3 cells of 0.1 x 0.1 from -2.99, 57) differs from that of rain.tif (4 x 3 cells of 0.1 x 0.1 from "
        "-3, 57); bring all weather rasters to one grid");
}

TEST_CASE("reference systems that disagree") {
  Scene scene;
  scene.tmax.crs = "EPSG:4267";
  CHECK(
      scene.problems() ==
      "error: tmax.tif: its reference system (EPSG:4267) differs from that of rain.tif (EPSG:4326); bring all weather rasters to one grid");
}

TEST_CASE("dates that disagree") {
  Scene scene;
  scene.write();
  write_text(scene.folder / "other.csv", "2001-01-02\n2001-01-03\n2001-01-04\n");
  scene.season.rasters["tmax"].dates = "other.csv";
  CHECK(lines(scene.read().problems) ==
        "error: tmax.tif: its dates (2001-01-02 to 2001-01-04) differ from those of rain.tif (2001-01-01 to 2001-01-03); cut all weather "
        "rasters to the same dates");
}

TEST_CASE("a unit that is not known, missing, or contradicts") {
  Scene scene;
  scene.rain.unit = "mm/m";
  const std::string known = "mm, kg m-2, m, cm, mm/day, m/day, kg m-2/day, kg m-2/s, mm/s, m/s, mm/h";
  CHECK(scene.problems() ==
        "error: rain.tif: \"mm/m\": the unit is not known for rain; state it in [rasters.rain] of season.toml by unit = one of: " + known);
  scene.season.rasters["rain"].unit = "mm";  // stated: the file's spelling is set aside
  CHECK(scene.problems() == "");
  scene.season.rasters["rain"].unit = "";
  scene.rain.unit = "";
  CHECK(scene.problems() ==
        "error: rain.tif: does not say in what unit rain is; state it in [rasters.rain] of season.toml by unit = one of: " + known);
  scene.rain.unit = "K";
  CHECK(scene.problems() ==
        "error: rain.tif: \"K\": the unit is not known for rain; state it in [rasters.rain] of season.toml by unit = one of: " + known);
  scene.rain.unit = "kg m-2 s-1";
  scene.season.rasters["rain"].unit = "mm";
  CHECK(scene.problems() ==
        "error: rain.tif: \"kg m-2 s-1\": the file's unit contradicts unit = \"mm\" in [rasters.rain]; leave out unit in season.toml, or "
        "correct the file");
  scene.season.rasters["rain"].unit = "buckets";
  CHECK(scene.problems() == "error: season.toml (rasters.rain.unit): \"buckets\": is not a unit known for rain; write one of: " + known);
}

TEST_CASE("a fill that contradicts the stated one") {
  Scene scene;
  scene.rain.fill = -9999;
  scene.season.rasters["rain"].fill = -1;
  CHECK(scene.problems() ==
        "error: rain.tif: \"-9999\": the file's fill contradicts fill = -1 in [rasters.rain]; leave out fill in season.toml, or correct "
        "the file");
}

TEST_CASE("negative rain, which may be a fill nobody declared") {
  Scene scene;
  scene.rain.value = [](int b, int r, int c) { return b == 1 && r == 1 && c >= 2 ? -9999.0 : 1.0; };
  CHECK(scene.problems() ==
        "error: rain.tif: band 2 (2001-01-02): \"-9999\": rain is negative at row 2, column 3 (2 values in all); where this stands for a "
        "missing value, state fill in [rasters.rain]");
}

TEST_CASE("rain past the bound, infinite rain") {
  Scene scene;
  scene.rain.value = [](int b, int r, int c) { return b == 2 && r == 0 && c == 0 ? 655.35 : 1.0; };
  CHECK(scene.problems() ==
        "error: rain.tif: band 3 (2001-01-03): \"655.35\": rain is over 655.34 mm in a day at row 1, column 1; where this stands for a "
        "missing value, state fill in [rasters.rain]; otherwise check the unit");
  scene.rain.value = [](int b, int r, int c) { return b == 0 && r == 2 && c == 3 ? std::numeric_limits<double>::infinity() : 1.0; };
  CHECK(scene.problems() ==
        "error: rain.tif: band 1 (2001-01-01): \"inf\": rain is over 655.34 mm in a day at row 3, column 4; where this stands for a "
        "missing value, state fill in [rasters.rain]; otherwise check the unit");
}

TEST_CASE("kelvin called Celsius") {
  Scene scene;
  scene.tmax.value = [](int, int, int) { return 285.0; };
  CHECK(scene.problems() ==
        "error: tmax.tif: band 1 (2001-01-01): \"285\": tmax is outside -60 to 60 C at row 1, column 1 (36 values in all); where this "
        "stands for a missing value, state fill in [rasters.tmax]; otherwise check the unit");
}

TEST_CASE("tmin above tmax") {
  Scene scene;
  scene.tmin.value = [](int b, int r, int c) { return b == 2 && r == 1 && c == 1 ? 14.5 : 2.0; };
  CHECK(scene.problems() ==
        "error: tmin.tif: band 3 (2001-01-03): \"14.5\": tmin is above tmax (12) at row 2, column 2; check that the two rasters were not "
        "exchanged and carry the same dates");
}

TEST_CASE("gaps on some days: the cells count as having no weather, and the first gap is named") {
  Scene scene;
  scene.rain.value = [](int b, int r, int c) { return b == 1 && r == 0 && c == 0 ? std::nan("") : 1.0; };
  CHECK(scene.problems() ==
        "warning: rain.tif: band 2 (2001-01-02): rain has gaps in 1 cell, the first at row 1, column 1; such cells count as having no "
        "weather; fill the gaps to use them\n"
        "warning: regions.gpkg: region \"north\": \"91.67 %\": only this part of its area has weather and soil; the rest is left out of "
        "the forecast");
}

TEST_CASE("a region without weather is an error, with the share") {
  Scene scene;
  // "south" is the southern half of row 2 and the northern half of row 3, which narrows less: cos(56.85) / (cos(56.85) + cos(56.75)).
  scene.rain.value = [](int, int r, int) { return r == 2 ? std::nan("") : 1.0; };
  CHECK(scene.problems() ==
        "error: regions.gpkg: region \"south\": \"49.93 %\": too little of its area has weather and soil (at least 90 % is needed); give "
        "rasters that cover it, fill their gaps, or take the region out");
}

TEST_CASE("the least share can be set") {
  Scene scene;
  scene.rain.value = [](int, int r, int) { return r == 2 ? std::nan("") : 1.0; };
  static constexpr ParameterSpec kTable[] = {{"valid_area_min_share", 0.4, "1", 0, 1, "judgement", "test", "least share"}};
  scene.season.parameters = ParameterSet(kTable);
  CHECK(scene.problems() ==
        "warning: regions.gpkg: region \"south\": \"49.93 %\": only this part of its area has weather and soil; the rest is left out of "
        "the forecast");
}

TEST_CASE("temperature is required, both extremes or the mean with its range") {
  Scene scene;
  scene.season.rasters.erase("tmax");
  CHECK(scene.problems() ==
        "error: season.toml (rasters.tmax): only one of tmin and tmax is given; give both, or tmean with diurnal_range_c");
  scene.season.rasters.erase("tmin");
  CHECK(scene.problems() ==
        "error: season.toml (rasters.tmin): there is no temperature raster; give tmin and tmax, or tmean with diurnal_range_c");
  scene.season.rasters["tmean"] = RasterSource{"tmin.tif", "", "", "", "", "dates.csv", {}, {}, {}, ""};
  CHECK(scene.problems() ==
        "error: season.toml (diurnal_range_c): only mean temperature is given, and the range between night and day is not stated; state "
        "diurnal_range_c, the mean of tmax less tmin in C");
}

TEST_CASE("everything wrong comes at once") {
  Scene scene;
  scene.rain.skew = 0.01;
  scene.tmin.unit = "F";
  scene.season.soil.reset();
  scene.write();
  std::filesystem::remove(scene.folder / "regions.gpkg");
  CHECK(lines(scene.read().problems) ==
        "error: regions.gpkg: there is no such file; check the path; it is taken from the folder of season.toml\n"
        "error: rain.tif: the grid is rotated; warp it to an unrotated grid first (gdalwarp)\n"
        "error: tmin.tif: \"F\": the unit is not known for tmin; state it in [rasters.tmin] of season.toml by unit = one of: C, K\n"
        "error: season.toml (soil): no soil is given; state one in [soil] by sand_pct, clay_pct and organic_matter_pct, or name soil "
        "rasters");
}

TEST_CASE("a season without rasters has regions and no land units") {
  Scene scene;
  scene.season.rasters = {};
  scene.write();
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  CHECK(reading.land.regions.size() == 2);
  CHECK(reading.land.units.empty());
  CHECK_FALSE(reading.daily.has_value());
}
