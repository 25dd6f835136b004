#include "demo-regions/raster_files.h"

#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <memory>
#include <stdexcept>

namespace rickyard::demo {

void register_drivers() {
  static const bool once = [] {
    GDALAllRegister();
    return true;
  }();
  static_cast<void>(once);
}

void write_raster(const std::string& path, const Grid& grid, const std::vector<std::int16_t>& values, int bands, const RasterLook& look) {
  register_drivers();
  auto* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
  CPLStringList options;
  options.SetNameValue("COMPRESS", "DEFLATE");
  options.SetNameValue("PREDICTOR", "2");
  options.SetNameValue("INTERLEAVE", "BAND");
  options.SetNameValue("BLOCKYSIZE", std::to_string(grid.rows).c_str());  // one strip a band
  std::unique_ptr<GDALDataset> file(driver->Create(path.c_str(), grid.columns, grid.rows, bands, GDT_Int16, options.List()));
  if (!file) throw std::runtime_error(path + ": cannot be written");
  double transform[6] = {grid.west_deg, grid.step_deg, 0, grid.north_deg, 0, -grid.step_deg};
  OGRSpatialReference wgs84;
  wgs84.importFromEPSG(4326);
  file->SetGeoTransform(transform);
  file->SetSpatialRef(&wgs84);
  file->GetRasterBand(1)->SetNoDataValue(kNoData);
  for (int b = 0; b < bands; ++b) {
    GDALRasterBand* band = file->GetRasterBand(b + 1);
    if (!look.unit.empty()) band->SetUnitType(look.unit.c_str());
    if (look.scale != 1) band->SetScale(look.scale);
    if (!look.labels.empty()) band->SetDescription(look.labels[static_cast<std::size_t>(b)].c_str());
    auto* layer = const_cast<std::int16_t*>(values.data() + static_cast<std::size_t>(b) * grid.size());
    if (band->RasterIO(GF_Write, 0, 0, grid.columns, grid.rows, layer, grid.columns, grid.rows, GDT_Int16, 0, 0) != CE_None)
      throw std::runtime_error(path + ": band " + std::to_string(b + 1) + " cannot be written");
  }
  if (file->FlushCache(true), CPLGetLastErrorType() == CE_Failure) throw std::runtime_error(path + ": " + CPLGetLastErrorMsg());
}

}  // namespace rickyard::demo
