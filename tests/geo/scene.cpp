#include "scene.h"

#include <gdal_priv.h>
#include <ogrsf_frmts.h>
#include <unistd.h>

#include <doctest/doctest.h>
#include <cstdlib>
#include <fstream>

#include "geo/gdal_words.h"
#include "geo/ogr_shapes.h"

namespace rickyard::test {
namespace {

OGRSpatialReference system_of(const std::string& crs) {
  OGRSpatialReference system;
  REQUIRE(system.SetFromUserInput(crs.c_str()) == OGRERR_NONE);
  system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  return system;
}

std::vector<double> field_of(const Field& value, int bands, int rows, int columns, bool south_first) {
  std::vector<double> out;
  for (int b = 0; b < bands; ++b)
    for (int r = 0; r < rows; ++r)
      for (int c = 0; c < columns; ++c) out.push_back(value(b, south_first ? rows - 1 - r : r, c));
  return out;
}

}  // namespace

TemporaryFolder::TemporaryFolder() {
  std::string name = (std::filesystem::temp_directory_path() / "rickyard-geo-XXXXXX").string();
  REQUIRE(mkdtemp(name.data()) != nullptr);
  path_ = name;
}

TemporaryFolder::~TemporaryFolder() {
  std::error_code error;
  std::filesystem::remove_all(path_, error);
}

void write_bands(const std::string& path, const BandRaster& raster) {
  const GdalWords quiet;
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
  REQUIRE(driver != nullptr);
  const char* by_pixel[] = {"INTERLEAVE=PIXEL", nullptr};
  const char* by_band[] = {"INTERLEAVE=BAND", nullptr};
  const std::unique_ptr<GDALDataset> dataset(driver->Create(path.c_str(), raster.columns, raster.rows, raster.bands,
                                                            raster.integers ? GDT_Int16 : GDT_Float32,
                                                            const_cast<char**>(raster.pixel_interleaved ? by_pixel : by_band)));
  REQUIRE(dataset != nullptr);
  double place[6] = {raster.west, raster.width,
                     raster.skew, raster.south_up ? raster.north - raster.rows * raster.height : raster.north,
                     raster.skew, raster.south_up ? raster.height : -raster.height};
  dataset->SetGeoTransform(place);
  if (!raster.crs.empty()) {
    const auto system = system_of(raster.crs);
    dataset->SetSpatialRef(&system);
  }
  auto values = field_of(raster.value, raster.bands, raster.rows, raster.columns, raster.south_up);
  REQUIRE(dataset->RasterIO(GF_Write, 0, 0, raster.columns, raster.rows, values.data(), raster.columns, raster.rows, GDT_Float64,
                            raster.bands, nullptr, 0, 0, 0, nullptr) == CE_None);
  for (int b = 1; b <= raster.bands; ++b) {
    GDALRasterBand* band = dataset->GetRasterBand(b);
    if (raster.fill) band->SetNoDataValue(*raster.fill);
    if (raster.scale) band->SetScale(*raster.scale);
    if (raster.offset) band->SetOffset(*raster.offset);
    if (!raster.unit.empty()) band->SetUnitType(raster.unit.c_str());
  }
}

void write_cube(const std::string& path, const Cube& cube) {
  const GdalWords words;
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(cube.driver.c_str());
  REQUIRE(driver != nullptr);
  const std::unique_ptr<GDALDataset> dataset(driver->CreateMultiDimensional(path.c_str(), nullptr, nullptr));
  REQUIRE_MESSAGE(dataset != nullptr, words.text());
  const auto root = dataset->GetRootGroup();
  const auto real = GDALExtendedDataType::Create(GDT_Float64);
  const auto axis = [&](const char* name, const char* type, const char* direction, const std::string& unit,
                        const std::vector<double>& values) {
    auto dimension = root->CreateDimension(name, type, direction, values.size(), nullptr);
    auto array = root->CreateMDArray(name, {dimension}, real, nullptr);
    REQUIRE(array != nullptr);
    array->SetUnit(unit);
    const GUInt64 start[] = {0};
    const std::size_t count[] = {values.size()};
    REQUIRE(array->Write(start, count, nullptr, nullptr, real, values.data()));
    dimension->SetIndexingVariable(array);
    return dimension;
  };
  std::vector<double> x, y;
  for (int c = 0; c < cube.columns; ++c) x.push_back(cube.west + (c + 0.5) * cube.width);
  for (int r = 0; r < cube.rows; ++r)
    y.push_back(cube.north_first ? cube.north - (r + 0.5) * cube.height : cube.north - (cube.rows - r - 0.5) * cube.height);
  const auto time = axis("time", GDAL_DIM_TYPE_TEMPORAL, "", cube.time_unit, cube.times);
  if (!cube.calendar.empty())
    root->OpenMDArray("time")->CreateAttribute("calendar", {}, GDALExtendedDataType::CreateString())->Write(cube.calendar.c_str());
  const auto north = axis("latitude", GDAL_DIM_TYPE_HORIZONTAL_Y, "NORTH", "degrees_north", y),
             east = axis("longitude", GDAL_DIM_TYPE_HORIZONTAL_X, "EAST", "degrees_east", x);
  for (const auto& variable : cube.variables) {
    std::vector<std::string> storage;
    if (!cube.chunks.empty()) storage = {"BLOCKSIZE=" + cube.chunks, cube.driver == "Zarr" ? "COMPRESS=ZLIB" : "COMPRESS=DEFLATE"};
    CPLStringList options;
    for (const auto& option : storage) options.AddString(option.c_str());
    auto array = root->CreateMDArray(variable.name, {time, north, east},
                                     GDALExtendedDataType::Create(variable.integers ? GDT_Int16 : GDT_Float32), options.List());
    REQUIRE_MESSAGE(array != nullptr, words.text());
    if (!variable.unit.empty()) array->SetUnit(variable.unit);
    if (variable.fill) array->SetNoDataValue(*variable.fill);
    if (variable.scale) array->SetScale(*variable.scale);
    if (variable.offset) array->SetOffset(*variable.offset);
    if (!cube.crs.empty()) {
      const auto system = system_of(cube.crs);
      array->SetSpatialRef(&system);
    }
    const auto values = field_of(variable.value, static_cast<int>(cube.times.size()), cube.rows, cube.columns, !cube.north_first);
    const GUInt64 start[] = {0, 0, 0};
    const std::size_t count[] = {cube.times.size(), static_cast<std::size_t>(cube.rows), static_cast<std::size_t>(cube.columns)};
    REQUIRE(array->Write(start, count, nullptr, nullptr, real, values.data()));
  }
}

Ring rectangle(double west, double south, double east, double north) {
  return {{west, south}, {east, south}, {east, north}, {west, north}};
}

void write_regions(const std::string& path, const std::vector<TestRegion>& regions, const std::string& crs) {
  const GdalWords words;
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
  REQUIRE(driver != nullptr);
  const std::unique_ptr<GDALDataset> dataset(driver->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
  REQUIRE_MESSAGE(dataset != nullptr, words.text());
  std::optional<OGRSpatialReference> system;
  if (!crs.empty()) system = system_of(crs);
  OGRLayer* layer = dataset->CreateLayer("regions", system ? &*system : nullptr, wkbMultiPolygon, nullptr);
  REQUIRE(layer != nullptr);
  for (const char* name : {"region", "name"}) {
    OGRFieldDefn field(name, OFTString);
    REQUIRE(layer->CreateField(&field) == OGRERR_NONE);
  }
  for (const auto& region : regions) {
    const std::unique_ptr<OGRFeature> feature(OGRFeature::CreateFeature(layer->GetLayerDefn()));
    if (!region.null_id) feature->SetField("region", region.id.c_str());
    feature->SetField("name", ("The " + region.id).c_str());
    if (!region.shape.empty()) feature->SetGeometry(to_ogr(region.shape).get());
    REQUIRE(layer->CreateFeature(feature.get()) == OGRERR_NONE);
  }
}

void write_text(const std::string& path, const std::string& text) {
  std::ofstream out(path, std::ios::binary);
  out << text;
  REQUIRE(out.good());
}

Season empty_season() { return Season{ParameterSet(std::span<const ParameterSpec>{})}; }

Scene::Scene() : season(empty_season()) {
  season.regions = {"regions.gpkg", "region", "", "name", ""};
  season.soil = UniformSoil{40, 20, 2.5, {}, {}};
  tmin.unit = tmax.unit = "C";
  tmin.value = [](int, int, int) { return 2.0; };
  tmax.value = [](int, int, int) { return 12.0; };
  for (const char* key : {"rain", "tmin", "tmax"}) {
    RasterSource source;
    source.path = std::string(key) + ".tif";
    source.dates = "dates.csv";
    season.rasters[key] = source;
  }
  // Both lie inside the grid (57 to 56.7 N, 3 to 2.6 W); they share an edge through the middle of the middle row.
  regions = {{"north", {{rectangle(-2.95, 56.85, -2.65, 56.95), {}}}}, {"south", {{rectangle(-2.95, 56.75, -2.65, 56.85), {}}}}};
}

void Scene::write() const {
  write_bands(folder / "rain.tif", rain);
  write_bands(folder / "tmin.tif", tmin);
  write_bands(folder / "tmax.tif", tmax);
  std::filesystem::remove(folder / "regions.gpkg");
  write_regions(folder / "regions.gpkg", regions, regions_crs);
  write_text(folder / "dates.csv", "2001-01-01\n2001-01-02\n2001-01-03\n");
}

GeoReading Scene::read() const {
  Progress progress;
  return read_geography(season, folder.path(), progress);
}

std::string lines(const std::vector<Problem>& problems) {
  std::string out;
  for (const auto& problem : problems) out += (out.empty() ? "" : "\n") + to_text(problem);
  return out;
}

std::string Scene::problems() const {
  write();
  return lines(read().problems);
}

}  // namespace rickyard::test
