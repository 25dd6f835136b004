#include "demo-regions/raster_files.h"

#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <algorithm>
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

struct RasterWriter::File {
  std::string path;
  Grid grid;
  int strip_rows = 0;
  std::unique_ptr<GDALDataset> data;
  std::vector<std::int16_t> strip;
};

RasterWriter::RasterWriter(std::string path, const Grid& grid, int bands, const RasterLook& look, const RasterLayout& layout)
    : file_(std::make_unique<File>()) {
  register_drivers();
  file_->path = std::move(path);
  file_->grid = grid;
  file_->strip_rows = layout.strip_rows > 0 ? std::min(layout.strip_rows, grid.rows) : grid.rows;
  file_->strip.resize(static_cast<std::size_t>(grid.columns) * static_cast<std::size_t>(file_->strip_rows));
  CPLStringList options;
  if (layout.deflate) {
    options.SetNameValue("COMPRESS", "DEFLATE");
    options.SetNameValue("PREDICTOR", "2");
    options.SetNameValue("ZLEVEL", std::to_string(layout.level).c_str());
  }
  options.SetNameValue("INTERLEAVE", "BAND");
  options.SetNameValue("BLOCKYSIZE", std::to_string(file_->strip_rows).c_str());
  options.SetNameValue("BIGTIFF", "IF_SAFER");
  auto* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
  file_->data.reset(driver->Create(file_->path.c_str(), grid.columns, grid.rows, bands, GDT_Int16, options.List()));
  if (!file_->data) throw std::runtime_error(file_->path + ": cannot be written");
  double transform[6] = {grid.west_deg, grid.step_deg, 0, grid.north_deg, 0, -grid.step_deg};
  OGRSpatialReference wgs84;
  wgs84.importFromEPSG(4326);
  file_->data->SetGeoTransform(transform);
  file_->data->SetSpatialRef(&wgs84);
  file_->data->GetRasterBand(1)->SetNoDataValue(kNoData);
  for (int b = 0; b < bands; ++b) {
    GDALRasterBand* band = file_->data->GetRasterBand(b + 1);
    if (!look.unit.empty()) band->SetUnitType(look.unit.c_str());
    if (look.scale != 1) band->SetScale(look.scale);
    if (!look.labels.empty()) band->SetDescription(look.labels[static_cast<std::size_t>(b)].c_str());
  }
}
RasterWriter::RasterWriter(RasterWriter&&) noexcept = default;
RasterWriter::~RasterWriter() = default;

// Whole strips past GDAL's block cache, which other threads share: the order in the file is ours.
void RasterWriter::write(int band, const std::int16_t* values) {
  GDALRasterBand* to = file_->data->GetRasterBand(band + 1);
  const auto columns = static_cast<std::size_t>(file_->grid.columns);
  for (int row = 0, strip = 0; row < file_->grid.rows; row += file_->strip_rows, ++strip) {
    const int rows = std::min(file_->strip_rows, file_->grid.rows - row);
    const auto* from = values + columns * static_cast<std::size_t>(row);
    const auto end = std::copy(from, from + columns * static_cast<std::size_t>(rows), file_->strip.begin());
    std::fill(end, file_->strip.end(), kNoData);
    if (to->WriteBlock(0, strip, file_->strip.data()) != CE_None)
      throw std::runtime_error(file_->path + ": band " + std::to_string(band + 1) + " cannot be written: " + CPLGetLastErrorMsg());
  }
}

void RasterWriter::close() {
  CPLErrorReset();
  file_->data.reset();
  if (CPLGetLastErrorType() == CE_Failure) throw std::runtime_error(file_->path + ": " + CPLGetLastErrorMsg());
}

void write_raster(const std::string& path, const Grid& grid, const std::vector<std::int16_t>& values, int bands, const RasterLook& look,
                  const RasterLayout& layout) {
  RasterWriter file(path, grid, bands, look, layout);
  for (int b = 0; b < bands; ++b) file.write(b, values.data() + static_cast<std::size_t>(b) * grid.size());
  file.close();
}

}  // namespace rickyard::demo
