// Maps: read back, and byte for byte the same when written twice.
#include <doctest/doctest.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <fstream>
#include <iterator>

#include "geo/gdal_words.h"
#include "geo/write_maps.h"
#include "planner/base/problem.h"
#include "scene.h"

using namespace rickyard;
using namespace rickyard::test;

namespace {
std::string bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  REQUIRE(in.good());
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}
}  // namespace

TEST_CASE("regions as a GeoPackage: attributes come back, bytes repeat") {
  Scene scene;
  scene.write();
  const auto reading = scene.read();
  const std::vector<RegionColumn> columns = {{"qualifying_t_p50", {1200.5, std::nan("")}}, {"yield_t_ha_mean", {5.75, 6.0}}};
  const Date as_of(2027, 3, 1);
  write_regions_gpkg(scene.folder / "a.gpkg", reading.land, columns, as_of);
  write_regions_gpkg(scene.folder / "b.gpkg", reading.land, columns, as_of);
  write_regions_gpkg(scene.folder / "a.gpkg", reading.land, columns, as_of);  // replaces
  CHECK(bytes_of(scene.folder / "a.gpkg") == bytes_of(scene.folder / "b.gpkg"));
  const std::unique_ptr<GDALDataset> dataset(GDALDataset::Open((scene.folder / "a.gpkg").c_str(), GDAL_OF_VECTOR));
  REQUIRE(dataset != nullptr);
  OGRLayer* layer = dataset->GetLayerByName("regions");
  REQUIRE(layer != nullptr);
  CHECK(layer->GetFeatureCount() == 2);
  const std::unique_ptr<OGRFeature> first(layer->GetFeature(1)), second(layer->GetFeature(2));
  CHECK(std::string(first->GetFieldAsString("region")) == "north");
  CHECK(first->GetFieldAsDouble("qualifying_t_p50") == 1200.5);
  CHECK(first->GetFieldAsDouble("area_ha") == reading.land.regions[0].area_ha);
  CHECK(second->IsFieldSetAndNotNull(second->GetFieldIndex("qualifying_t_p50")) == 0);
  OGREnvelope box;
  first->GetGeometryRef()->getEnvelope(&box);
  CHECK(box.MinX == doctest::Approx(-2.95));
  CHECK(box.MaxY == doctest::Approx(56.95));
  CHECK(layer->GetSpatialRef()->GetAuthorityCode(nullptr) == std::string("4326"));
}

TEST_CASE("cells as a cloud-optimised GeoTIFF: values come back in place, bytes repeat") {
  Scene scene;
  scene.regions = {{"one", {{rectangle(-2.88, 56.81, -2.72, 56.89), {}}}}};
  scene.write();
  const auto reading = scene.read();
  REQUIRE(reading.grid.cell_index == std::vector<int>{5, 6});
  const std::vector<double> values = {4.25, std::nan("")};
  write_cells_cog(scene.folder / "a.tif", reading.grid, values, "qualifying grain");
  write_cells_cog(scene.folder / "b.tif", reading.grid, values, "qualifying grain");
  CHECK(bytes_of(scene.folder / "a.tif") == bytes_of(scene.folder / "b.tif"));
  CHECK_FALSE(std::filesystem::exists(scene.folder / "a.tif.aux.xml"));
  const std::unique_ptr<GDALDataset> dataset(GDALDataset::Open((scene.folder / "a.tif").c_str(), GDAL_OF_RASTER));
  REQUIRE(dataset != nullptr);
  CHECK(std::string(dataset->GetMetadataItem("LAYOUT", "IMAGE_STRUCTURE")) == "COG");
  std::vector<float> back(12);
  REQUIRE(dataset->GetRasterBand(1)->RasterIO(GF_Read, 0, 0, 4, 3, back.data(), 4, 3, GDT_Float32, 0, 0, nullptr) == CE_None);
  CHECK(back[5] == 4.25F);
  CHECK(back[6] == -9999.0F);
  CHECK(back[0] == -9999.0F);
  CHECK(dataset->GetRasterBand(1)->GetNoDataValue() == -9999);
  CHECK(std::string(dataset->GetRasterBand(1)->GetDescription()) == "qualifying grain");
  CHECK(std::string(dataset->GetRasterBand(1)->GetUnitType()) == "t/ha");
  double place[6];
  REQUIRE(dataset->GetGeoTransform(place) == CE_None);
  CHECK(place[0] == doctest::Approx(-3));
  CHECK(place[3] == doctest::Approx(57));
}

TEST_CASE("a map that cannot be written says so in GDAL's words") {
  Scene scene;
  scene.write();
  const auto reading = scene.read();
  const std::vector<double> values(reading.grid.cell_index.size(), 1.0);
  CHECK_THROWS_AS(write_cells_cog(scene.folder / "nowhere/a.tif", reading.grid, values, "x"), OutputError);
  CHECK_THROWS_AS(write_regions_gpkg(scene.folder / "nowhere/a.gpkg", reading.land, {}, Date(2027, 3, 1)), OutputError);
  try {
    write_cells_cog(scene.folder / "nowhere/a.tif", reading.grid, values, "x");
  } catch (const OutputError& error) {
    CHECK(std::string(error.what()).find("GDAL says: \"") != std::string::npos);
  }
}
