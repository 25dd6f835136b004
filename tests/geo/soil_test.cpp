// Soil pixels inside weather cells, on finer, coarser and foreign grids.
#include <doctest/doctest.h>

#include <cmath>

#include "geo/soil.h"
#include "planner/crop/soil_hydraulics.h"
#include "scene.h"

using namespace rickyard;
using namespace rickyard::test;

namespace {

// Soil rasters of one band beside the scene's weather.
struct SoilScene : Scene {
  BandRaster sand, clay, organic;
  SoilScene() {
    season.soil.reset();
    for (auto* raster : {&sand, &clay, &organic}) {
      raster->bands = 1;
      raster->unit = "%";
      raster->columns = 40;  // ten pixels of 0.01 degrees a cell
      raster->rows = 30;
      raster->width = raster->height = 0.01;
      raster->fill = -1;
    }
    // Columns of soil: in every cell the western 3 of 10 pixels are sandy, the rest loam.
    sand.value = [](int, int, int c) { return c % 10 < 3 ? 85.0 : 40.0; };
    clay.value = [](int, int, int c) { return c % 10 < 3 ? 5.0 : 20.0; };
    organic.value = [](int, int, int) { return 2.5; };
    for (const char* key : {"sand", "clay", "organic_matter"}) season.rasters[key] = plain(std::string(key) + ".tif");
  }
  static RasterSource plain(const std::string& path) {
    RasterSource source;
    source.path = path;
    return source;
  }
  GeoReading read_soil_scene() {
    write();
    write_bands(folder / "sand.tif", sand);
    write_bands(folder / "clay.tif", clay);
    write_bands(folder / "organic_matter.tif", organic);
    return read();
  }
};

double hectares(const GeoReading& reading, std::size_t region, int soil = -1) {
  double sum = 0;
  for (const auto& share : reading.land.regions[region].units)
    if (soil < 0 || reading.land.units[static_cast<std::size_t>(share.unit)].soil == soil) sum += share.ha;
  return sum;
}

}  // namespace

TEST_CASE("a uniform soil takes Saxton & Rawls limits, less stones") {
  const SoilLimits loam = saxton_rawls(0.4, 0.2, 2.5);
  const SoilClass soil = uniform_soil({40, 20, 2.5, 20, 0.8});
  CHECK(soil.name == "loam");
  CHECK(soil.field_capacity == doctest::Approx(loam.field_capacity * 0.8).epsilon(1e-15));
  CHECK(soil.wilting == doctest::Approx(loam.wilting * 0.8).epsilon(1e-15));
  CHECK(soil.ks_mm_day == loam.ks_mm_day);
  CHECK(soil.root_depth_m == 0.8);
}

TEST_CASE("finer soil pixels make classes by water limits, kept apart in every cell") {
  SoilScene scene;
  const auto reading = scene.read_soil_scene();
  CHECK(lines(reading.problems) == "");
  REQUIRE(reading.land.soils.size() == 2);
  CHECK(reading.land.units.size() == 24);
  const SoilLimits sandy = saxton_rawls(0.85, 0.05, 2.5), loam = saxton_rawls(0.4, 0.2, 2.5);
  // Ordered by available water: the sandy class first.
  CHECK(reading.land.soils[0].field_capacity == doctest::Approx(sandy.field_capacity).epsilon(1e-12));
  CHECK(reading.land.soils[1].field_capacity == doctest::Approx(loam.field_capacity).epsilon(1e-12));
  CHECK(reading.land.soils[0].hydrologic_group == hydrologic_group_of_ks(sandy.ks_mm_day));
  const double rounded = std::round((loam.field_capacity - loam.wilting) * 100) * 10;
  CHECK(reading.land.soils[1].name.starts_with(std::to_string(static_cast<int>(rounded)) + " mm/m, group "));
  CHECK(hectares(reading, 0, 0) == doctest::Approx(0.3 * hectares(reading, 0)).epsilon(1e-12));
}

TEST_CASE("missing soil pixels: the class share is of valid pixels, the valid share says what is missing") {
  SoilScene scene;
  scene.sand.value = [](int, int r, int c) { return r % 10 == 0 && c % 10 >= 5 ? -1.0 : c % 10 < 3 ? 85.0 : 40.0; };
  const auto reading = scene.read_soil_scene();
  CHECK(lines(reading.problems) ==
        "warning: regions.gpkg: region \"north\": \"95.00 %\": only this part of its area has weather and soil; the rest is left out of "
        "the forecast\n"
        "warning: regions.gpkg: region \"south\": \"95.00 %\": only this part of its area has weather and soil; the rest is left out of "
        "the forecast");
  CHECK(hectares(reading, 0, 0) == doctest::Approx(30.0 / 95 * hectares(reading, 0)).epsilon(1e-12));
}

TEST_CASE("soil that ends inside the region counts as missing there") {
  SoilScene scene;
  for (auto* raster : {&scene.sand, &scene.clay, &scene.organic}) raster->columns = 20;  // the western half only
  const auto reading = scene.read_soil_scene();
  CHECK(lines(reading.problems) ==
        "error: regions.gpkg: region \"north\": \"50.00 %\": too little of its area has weather and soil (at least 90 % is needed); give "
        "rasters that cover it, fill their gaps, or take the region out\n"
        "error: regions.gpkg: region \"south\": \"50.00 %\": too little of its area has weather and soil (at least 90 % is needed); give "
        "rasters that cover it, fill their gaps, or take the region out");
}

TEST_CASE("soil coarser than the weather: a cell takes the pixel at its centre") {
  SoilScene scene;
  for (auto* raster : {&scene.sand, &scene.clay, &scene.organic}) {
    raster->columns = 2;
    raster->rows = 2;
    raster->width = raster->height = 0.2;
  }
  scene.sand.value = [](int, int, int c) { return c == 0 ? 85.0 : 40.0; };
  scene.clay.value = [](int, int, int c) { return c == 0 ? 5.0 : 20.0; };
  const auto reading = scene.read_soil_scene();
  CHECK(lines(reading.problems) == "");
  CHECK(reading.land.units.size() == 12);
  for (std::size_t i = 0; i < 12; ++i) CHECK(reading.land.units[i].soil == (reading.grid.cell_index[i] % 4 < 2 ? 0 : 1));
}

TEST_CASE("soil in another reference system: pixel centres are carried over") {
  SoilScene scene;
  // A plane grid of 1 km over the scene, in EPSG:3035: sandy west of a line, loam east of it.
  for (auto* raster : {&scene.sand, &scene.clay, &scene.organic}) {
    raster->crs = "EPSG:3035";
    raster->west = 3490000;
    raster->north = 3870000;
    raster->width = raster->height = 1000;
    raster->columns = raster->rows = 100;
  }
  scene.sand.value = [](int, int, int c) { return c < 50 ? 85.0 : 40.0; };
  scene.clay.value = [](int, int, int c) { return c < 50 ? 5.0 : 20.0; };
  const auto reading = scene.read_soil_scene();
  CHECK(lines(reading.problems) == "");
  CHECK(reading.land.soils.size() == 2);
  CHECK(hectares(reading, 0, 0) > 0);
  CHECK(hectares(reading, 0, 1) > 0);
  CHECK(hectares(reading, 0) == doctest::Approx(reading.land.regions[0].area_ha).epsilon(1e-3));
}

TEST_CASE("rooting depth keeps shallow and deep soils apart") {
  SoilScene scene;
  BandRaster depth = scene.sand;
  depth.unit = "cm";
  depth.value = [](int, int r, int) { return r % 2 == 0 ? 40.0 : 120.0; };
  scene.write();
  write_bands(scene.folder / "depth.tif", depth);
  scene.season.rasters["root_depth"] = SoilScene::plain("depth.tif");
  const auto reading = scene.read_soil_scene();
  CHECK(lines(reading.problems) == "");
  REQUIRE(reading.land.soils.size() == 4);
  CHECK(reading.land.soils[0].root_depth_m == doctest::Approx(0.4));
  CHECK(reading.land.soils[1].root_depth_m == doctest::Approx(1.2));
}

TEST_CASE("available water and drainage class directly") {
  SoilScene scene;
  for (const char* key : {"sand", "clay", "organic_matter"}) scene.season.rasters.erase(key);
  BandRaster water = scene.sand, drainage = scene.sand;
  water.unit = "mm/m";
  water.value = [](int, int, int c) { return c % 10 < 3 ? 62.0 : 151.0; };
  drainage.unit = "";
  drainage.value = [](int, int, int c) { return c % 10 < 3 ? 1.0 : 3.0; };
  scene.write();
  write_bands(scene.folder / "water.tif", water);
  write_bands(scene.folder / "drainage.tif", drainage);
  scene.season.rasters["available_water"] = SoilScene::plain("water.tif");
  scene.season.rasters["drainage_class"] = SoilScene::plain("drainage.tif");
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  REQUIRE(reading.land.soils.size() == 2);
  CHECK(reading.land.soils[0].name == "60 mm/m, group A");
  CHECK(reading.land.soils[1].name == "150 mm/m, group C");
  CHECK(reading.land.soils[1].field_capacity - reading.land.soils[1].wilting == doctest::Approx(0.151).epsilon(1e-12));
}

TEST_CASE("a crop mask takes land away, and elevation is the mean of the cell's pixels") {
  Scene scene;
  BandRaster mask;
  mask.bands = 1;
  mask.columns = 40;
  mask.rows = 30;
  mask.width = mask.height = 0.01;
  mask.unit = "";
  mask.value = [](int, int r, int c) { return r < 10 && c < 10 ? 0.0 : r % 10 < 4 ? 1.0 : 0.0; };
  BandRaster height = mask;
  height.unit = "m";
  height.value = [](int, int r, int) { return 100.0 + r % 10; };
  scene.write();
  const double whole = hectares(scene.read(), 1);
  write_bands(scene.folder / "mask.tif", mask);
  write_bands(scene.folder / "height.tif", height);
  scene.season.rasters["crop_mask"] = SoilScene::plain("mask.tif");
  scene.season.rasters["elevation"] = SoilScene::plain("height.tif");
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  CHECK(hectares(reading, 1) == doctest::Approx(0.4 * whole).epsilon(1e-12));
  CHECK(reading.grid.cell_index.front() == 1);  // the north-west cell has no crop land
  CHECK(reading.land.cells[0].elevation_m == doctest::Approx(104.5));
}

TEST_CASE("faults of soils, one by one") {
  SoilScene scene;
  SUBCASE("incomplete texture") {
    scene.season.rasters.erase("organic_matter");
    CHECK(lines(scene.read_soil_scene().problems) ==
          "error: season.toml (rasters.organic_matter): is missing: texture needs sand, clay and organic_matter; name it, or give "
          "available_water and drainage_class");
  }
  SUBCASE("given twice") {
    scene.season.soil = UniformSoil{40, 20, 2.5, {}, {}};
    CHECK(lines(scene.read_soil_scene().problems) ==
          "error: season.toml (soil): soil is given twice: in [soil] and by rasters; leave one of them out");
  }
  SUBCASE("fractions called percent give no sensible sum") {
    scene.sand.value = [](int, int, int) { return 400.0; };
    CHECK(lines(scene.read_soil_scene().problems) ==
          "error: sand.tif: \"400\": sand and clay (5) are not shares of 100 at row 1, column 1 (1200 pixels in all); where this stands "
          "for a missing value, state its fill; otherwise check the unit");
  }
  SUBCASE("soil grids that disagree") {
    scene.clay.columns = 41;
    CHECK(lines(scene.read_soil_scene().problems) ==
          "error: clay.tif: its grid differs from that of sand.tif; bring all soil rasters to one grid");
  }
  SUBCASE("several bands") {
    scene.clay.bands = 2;
    CHECK(lines(scene.read_soil_scene().problems) ==
          "error: clay.tif: holds 2 bands, but clay needs exactly one; give a raster of one band");
  }
}
