// One broken set of regions per fault; each message is compared whole.
#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "scene.h"

using namespace rickyard;
using namespace rickyard::test;

TEST_CASE("an id that is taken, empty or not there") {
  Scene scene;
  scene.regions[1].id = "north";
  CHECK(scene.problems() ==
        "error: regions.gpkg: feature 2 (north): \"north\": the id is taken by feature 1; give every region an id of its own");
  scene.regions[1].id = "";
  CHECK(scene.problems() == "error: regions.gpkg: feature 2: the region has no id in field \"region\"; give every region an id");
  scene.regions[1].null_id = true;
  CHECK(scene.problems() == "error: regions.gpkg: feature 2: the region has no id in field \"region\"; give every region an id");
}

TEST_CASE("a field or layer that is not there") {
  Scene scene;
  scene.season.regions.id = "parish";
  CHECK(scene.problems() ==
        "error: regions.gpkg: \"parish\": there is no such field; the layer has: region, name; name the field that holds region ids by id "
        "= \"...\" in [regions]");
  scene.season.regions.id = "region";
  scene.season.regions.layer = "parishes";
  CHECK(scene.problems() == "error: regions.gpkg: \"parishes\": there is no such layer; the file has: regions; name one of these");
}

TEST_CASE("a crossing outline is repaired and named") {
  Scene scene;
  scene.regions[0].shape = {
      {{{-2.9375, 56.875}, {-2.6875, 56.9375}, {-2.6875, 56.875}, {-2.9375, 56.9375}}, {}}};  // a bow tie, exact in binary
  scene.write();
  const auto reading = scene.read();
  CHECK(lines(reading.problems) ==
        "warning: regions.gpkg: feature 1 (north): the outline crosses or touches itself and was repaired; GDAL says: \"Self-intersection "
        "at or near point -2.8125 "
        "56.90625\"; check it on the map");
  // Both wings count: half of the 0.25 x 0.0625 degrees.
  CHECK(reading.land.regions[0].area_ha ==
        doctest::Approx(0.5 * 0.25 * 0.0625 / (0.3 * 0.1) * reading.land.regions[1].area_ha).epsilon(0.005));
  CHECK(reading.land.warnings.size() == 1);
}

TEST_CASE("no geometry, or one with a coordinate that is no number") {
  Scene scene;
  scene.regions[0].shape = {};
  CHECK(scene.problems() ==
        "error: regions.gpkg: feature 1 (north): the region has no geometry; draw its outline, or take the feature out");
  scene.regions[0].shape = {{{{-2.95, 56.87}, {std::nan(""), 56.95}, {-2.65, 56.87}}, {}}};
  CHECK(scene.problems() ==
        "error: regions.gpkg: feature 1 (north): the outline holds a coordinate that is not a number; redraw the outline");
}

TEST_CASE("a region outside the rasters, wholly or in part") {
  Scene scene;
  scene.regions[0].shape = {{rectangle(10, 40, 11, 41), {}}};
  CHECK(scene.problems() ==
        "error: regions.gpkg: region \"north\": lies outside the weather rasters; give rasters that cover it, or take the region out");
  scene.regions[0].shape = {{rectangle(-2.9, 56.9, -2.7, 57.1), {}}};
  CHECK(scene.problems() ==
        "error: regions.gpkg: region \"north\": \"50.00 %\": too little of its area has weather and soil (at least 90 % is needed); give "
        "rasters that cover it, fill their gaps, or take the region out");
  scene.regions[0].shape = {{rectangle(-2.9, 56.81, -2.7, 57.01), {}}};
  CHECK(scene.problems().find(
            "region \"north\": \"95.00 %\": only this part of its area has weather and soil; the rest is left out of the forecast") !=
        std::string::npos);
  scene.regions = {{"north", {{rectangle(10, 40, 11, 41), {}}}}};
  CHECK(scene.problems() ==
        "error: regions.gpkg: region \"north\": lies outside the weather rasters; give rasters that cover it, or take the region out");
}

TEST_CASE("overlapping regions are named with the area; neighbours that share an edge are not") {
  Scene scene;
  CHECK(scene.problems() == "");
  scene.regions[1].shape = {{rectangle(-2.95, 56.75, -2.65, 56.86), {}}};
  // 0.3 x 0.01 degrees between 56.85 and 56.86 N: 2,038.117 ha by the closed form of check-values 10.2, computed apart.
  CHECK(scene.problems() ==
        "warning: regions.gpkg: regions \"north\" and \"south\" overlap by 2038 ha; the land counts for both; redraw the border if it "
        "should not");
}

TEST_CASE("a layer without a reference system is refused unless stated") {
  Scene scene;
  scene.regions_crs = "";
  CHECK(scene.problems() ==
        "error: regions.gpkg: the layer has no coordinate reference system; state it in [regions] of season.toml, for instance crs = "
        "\"EPSG:4326\"");
  scene.season.regions.crs = "EPSG:4326";
  scene.write();
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  CHECK(reading.declared.front().what == "regions.crs");
  scene.regions_crs = "EPSG:4267";
  CHECK(scene.problems() ==
        "error: regions.gpkg: \"EPSG:4267\": the layer's reference system contradicts crs = \"EPSG:4326\" in [regions]; leave out crs in "
        "season.toml, or correct the file");
}

TEST_CASE("holes are left out of area and cover") {
  Scene scene;
  scene.write();
  const double whole = scene.read().land.regions[0].area_ha;
  scene.regions[0].shape[0].holes = {rectangle(-2.85, 56.88, -2.75, 56.92)};
  scene.write();
  const auto reading = scene.read();
  CHECK(lines(reading.problems) == "");
  const Region& north = reading.land.regions[0];
  CHECK(north.area_ha == doctest::Approx(whole * (1 - 0.1 * 0.04 / (0.3 * 0.1))).epsilon(1e-4));
  double ha = 0;
  for (const auto& share : north.units) ha += share.ha;
  CHECK(ha == doctest::Approx(north.area_ha).epsilon(1e-3));
}

TEST_CASE("the outline is GeoJSON with five decimals, simplified to 100 m") {
  Scene scene;
  Ring wavy;
  for (int k = 0; k < 2000; ++k) {
    const double angle = 2 * 3.14159265358979 * k / 2000;
    wavy.push_back({-2.8 + 0.1 * std::cos(angle) + 1e-5 * std::sin(97 * angle), 56.9 + 0.05 * std::sin(angle)});
  }
  scene.regions[0].shape = {{wavy, {}}};
  scene.write();
  const auto reading = scene.read();
  const auto outline = nlohmann::json::parse(reading.land.regions[0].outline_geojson);
  CHECK(outline["type"] == "MultiPolygon");
  const auto ring = outline["coordinates"][0][0];
  CHECK(ring.size() > 20);
  CHECK(ring.size() < 200);
  for (const auto& p : ring) {
    const double x = p[0].get<double>();
    CHECK(std::abs(x * 1e5 - std::round(x * 1e5)) < 1e-6);
    // Every corner lies on the ellipse to within the wave and the rounding, in metres of latitude.
    const double u = (x + 2.8) / 0.1, v = (p[1].get<double>() - 56.9) / 0.05;
    CHECK(std::abs(std::hypot(u, v) - 1) < 1e-3);
  }
}
