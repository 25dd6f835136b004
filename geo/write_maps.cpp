#include "geo/write_maps.h"

#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <cmath>
#include <vector>

#include "geo/gdal_words.h"
#include "geo/ogr_shapes.h"
#include "planner/base/problem.h"

namespace rickyard {
namespace {

constexpr double kNoLand = -9999;

using DatasetPtr = std::unique_ptr<GDALDataset>;

[[noreturn]] void fail(const std::filesystem::path& path, const GdalWords& words) {
  const std::string said = words.text();
  throw OutputError(path.string() + " cannot be written; " + (said.empty() ? "GDAL gives no reason" : "GDAL says: \"" + said + "\""));
}

void require(bool good, const std::filesystem::path& path, const GdalWords& words) {
  if (!good) fail(path, words);
}

// Closing can fail (a full disk), and GDAL tells only through its words.
void close(DatasetPtr dataset, const std::filesystem::path& path, const GdalWords& words) {
  dataset->FlushCache(true);
  dataset.reset();
  require(!words.failed(), path, words);
}

void remove_old(const std::filesystem::path& path) {
  std::error_code error;
  std::filesystem::remove(path, error);
}

void create_fields(OGRLayer& layer, const std::vector<RegionColumn>& columns, const std::filesystem::path& path, const GdalWords& words) {
  for (const char* name : {"region", "name"}) {
    OGRFieldDefn field(name, OFTString);
    require(layer.CreateField(&field) == OGRERR_NONE, path, words);
  }
  OGRFieldDefn area("area_ha", OFTReal);
  require(layer.CreateField(&area) == OGRERR_NONE, path, words);
  for (const auto& column : columns) {
    OGRFieldDefn field(column.name.c_str(), OFTReal);
    require(layer.CreateField(&field) == OGRERR_NONE, path, words);
  }
}

void add_region(OGRLayer& layer, const Region& region, std::size_t row, const std::vector<RegionColumn>& columns,
                const std::filesystem::path& path, const GdalWords& words) {
  const std::unique_ptr<OGRFeature> feature(OGRFeature::CreateFeature(layer.GetLayerDefn()));
  feature->SetField("region", region.id.c_str());
  feature->SetField("name", region.name.c_str());
  feature->SetField("area_ha", region.area_ha);
  for (const auto& column : columns)
    if (std::isfinite(column.values.at(row))) feature->SetField(column.name.c_str(), column.values[row]);
  if (!region.outline_geojson.empty()) {
    const OgrGeometryPtr outline(OGRGeometryFactory::createFromGeoJson(region.outline_geojson.c_str()));
    require(outline != nullptr, path, words);
    const OgrGeometryPtr many(OGRGeometryFactory::forceToMultiPolygon(outline->clone()));
    feature->SetGeometry(many.get());
  }
  require(layer.CreateFeature(feature.get()) == OGRERR_NONE, path, words);
}

}  // namespace

void write_regions_gpkg(const std::filesystem::path& path, const Land& land, const std::vector<RegionColumn>& columns, const Date& as_of) {
  const GdalWords words;
  const GdalOption date("OGR_CURRENT_DATE", to_text(as_of) + "T00:00:00.000Z"), no_sidecar("GDAL_PAM_ENABLED", "NO");
  remove_old(path);
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
  if (driver == nullptr) throw OutputError("this GDAL cannot write GeoPackage");
  DatasetPtr dataset(driver->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
  require(dataset != nullptr, path, words);
  OGRSpatialReference wgs84;
  wgs84.importFromEPSG(4326);
  wgs84.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  OGRLayer* layer = dataset->CreateLayer("regions", &wgs84, wkbMultiPolygon, nullptr);
  require(layer != nullptr, path, words);
  create_fields(*layer, columns, path, words);
  require(dataset->StartTransaction() == OGRERR_NONE, path, words);
  for (std::size_t row = 0; row < land.regions.size(); ++row) add_region(*layer, land.regions[row], row, columns, path, words);
  require(dataset->CommitTransaction() == OGRERR_NONE, path, words);
  close(std::move(dataset), path, words);
}

void write_cells_cog(const std::filesystem::path& path, const GridDefinition& grid, std::span<const double> value_per_cell,
                     const std::string& description, const std::string& unit) {
  const GdalWords words;
  const GdalOption no_sidecar("GDAL_PAM_ENABLED", "NO");
  if (value_per_cell.size() != grid.cell_index.size()) throw std::invalid_argument("a map needs one value for each cell of land");
  std::vector<float> values(static_cast<std::size_t>(grid.columns) * static_cast<std::size_t>(grid.rows), static_cast<float>(kNoLand));
  for (std::size_t i = 0; i < value_per_cell.size(); ++i)
    if (std::isfinite(value_per_cell[i])) values[static_cast<std::size_t>(grid.cell_index[i])] = static_cast<float>(value_per_cell[i]);
  GDALDriver *memory = GetGDALDriverManager()->GetDriverByName("MEM"), *cog = GetGDALDriverManager()->GetDriverByName("COG");
  if (memory == nullptr || cog == nullptr) throw OutputError("this GDAL cannot write cloud-optimised GeoTIFF");
  DatasetPtr plane(memory->Create("", grid.columns, grid.rows, 1, GDT_Float32, nullptr));
  require(plane != nullptr, path, words);
  OGRSpatialReference system;
  system.importFromWkt(grid.crs_wkt.c_str());
  plane->SetSpatialRef(&system);
  double place[6] = {grid.west, grid.cell_width, 0, grid.north, 0, -grid.cell_height};
  plane->SetGeoTransform(place);
  GDALRasterBand* band = plane->GetRasterBand(1);
  band->SetNoDataValue(kNoLand);
  band->SetDescription(description.c_str());
  band->SetUnitType(unit.c_str());
  require(band->RasterIO(GF_Write, 0, 0, grid.columns, grid.rows, values.data(), grid.columns, grid.rows, GDT_Float32, 0, 0, nullptr) ==
              CE_None,
          path, words);
  remove_old(path);
  const char* options[] = {"COMPRESS=DEFLATE", "PREDICTOR=YES", "NUM_THREADS=1", "OVERVIEWS=NONE", nullptr};
  DatasetPtr written(cog->CreateCopy(path.c_str(), plane.get(), FALSE, const_cast<char**>(options), nullptr, nullptr));
  require(written != nullptr, path, words);
  close(std::move(written), path, words);
}

}  // namespace rickyard
