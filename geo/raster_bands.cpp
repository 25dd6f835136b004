// Band files (GeoTIFF, COG and whatever else GDAL reads as bands).
#include <fmt/format.h>
#include <gdal_priv.h>

#include <cmath>

#include "geo/crs.h"
#include "geo/gdal_words.h"
#include "geo/raster_file.h"

namespace rickyard {
namespace {

using DatasetPtr = std::unique_ptr<GDALDataset>;

DatasetPtr open_dataset(const std::string& name) {
  return DatasetPtr(GDALDataset::Open(name.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR));
}

// The subdataset whose name ends with the variable.
DatasetPtr open_subdataset(GDALDataset& container, const std::string& shown, const std::string& variable, InputLog& log) {
  char** list = container.GetMetadata("SUBDATASETS");
  std::string names;
  for (int i = 1;; ++i) {
    const char* name = CSLFetchNameValue(list, fmt::format("SUBDATASET_{}_NAME", i).c_str());
    if (name == nullptr) break;
    const std::string text(name);
    const std::string last = text.substr(text.find_last_of(":/") + 1);
    if (last == variable) {
      const GdalWords words;
      auto dataset = open_dataset(text);
      if (!dataset)
        InputLog::fail(shown, variable, "the variable cannot be opened; " + log.quote(words.text()), "check that the file is whole");
      return dataset;
    }
    names += (names.empty() ? "" : ", ") + last;
  }
  if (variable.empty()) InputLog::fail(shown, "", "the file holds several variables: " + names, "name one by variable = \"...\"");
  InputLog::fail(shown, variable, names.empty() ? "the file has no named variables" : "there is no such variable; the file has: " + names,
                 names.empty() ? "leave out variable" : "name one of these by variable = \"...\"");
}

class BandFile : public RasterFile {
 public:
  BandFile(DatasetPtr dataset, std::string shown, const InputLog& log) : dataset_(std::move(dataset)), shown_(std::move(shown)), log_(log) {
    describe_grid();
    describe_values();
  }

  void read(const Window& window, const TileSink& sink) const override;

 private:
  void describe_grid();
  void describe_values();
  void read_tile(Tile tile, std::vector<double>& buffer, const TileSink& sink) const;

  DatasetPtr dataset_;
  std::string shown_;
  const InputLog& log_;
};

void BandFile::describe_grid() {
  GridDefinition& grid = info_.grid;
  grid.columns = dataset_->GetRasterXSize();
  grid.rows = dataset_->GetRasterYSize();
  info_.bands = dataset_->GetRasterCount();
  if (info_.bands == 0) InputLog::fail(shown_, "", "the file holds no raster band", "name a raster");
  double g[6];
  if (dataset_->GetGeoTransform(g) != CE_None)
    InputLog::fail(shown_, "", "the file does not say where its cells lie (no geotransform)", "give a georeferenced raster");
  const double slack = 1e-9;
  if (std::abs(g[2]) > slack * std::abs(g[1]) || std::abs(g[4]) > slack * std::abs(g[5]))
    InputLog::fail(shown_, "", "the grid is rotated", "warp it to an unrotated grid first (gdalwarp)");
  if (!(g[1] > 0) || g[5] == 0 || !std::isfinite(g[0]) || !std::isfinite(g[3]))
    InputLog::fail(shown_, "", "the cells have no usable size, or columns run from east to west",
                   "warp it to a plain grid first (gdalwarp)");
  info_.south_up = g[5] > 0;
  grid.west = g[0];
  grid.cell_width = g[1];
  grid.cell_height = std::abs(g[5]);
  grid.north = info_.south_up ? g[3] + g[5] * grid.rows : g[3];
  grid.crs_wkt = wkt_of(dataset_->GetSpatialRef());
}

// Unit, fill, scale and offset must be one for all bands: a stack is one variable.
void BandFile::describe_values() {
  for (int b = 1; b <= info_.bands; ++b) {
    GDALRasterBand* band = dataset_->GetRasterBand(b);
    const auto value_if = [](int has, double value) { return has != 0 ? std::optional<double>(value) : std::nullopt; };
    int has = 0;
    const double fill_value = band->GetNoDataValue(&has);
    const auto fill = value_if(has, fill_value);
    const double scale_value = band->GetScale(&has);
    auto scale = value_if(has, scale_value);
    const double offset_value = band->GetOffset(&has);
    auto offset = value_if(has, offset_value);
    if (scale == 1.0) scale.reset();
    if (offset == 0.0) offset.reset();
    const char* unit_text = band->GetUnitType();
    const std::string unit = unit_text == nullptr ? "" : unit_text;
    const bool both_nan = fill && info_.fill && std::isnan(*fill) && std::isnan(*info_.fill);
    if (b > 1 && (!(fill == info_.fill || both_nan) || scale != info_.scale || offset != info_.offset || unit != info_.unit))
      InputLog::fail(fmt::format("{}: band {}", shown_, b), "", "its unit, fill, scale or offset differs from band 1",
                     "write all bands of a stack alike");
    info_.fill = fill;
    info_.scale = scale;
    info_.offset = offset;
    info_.unit = unit;
    info_.single_precision = info_.single_precision || band->GetRasterDataType() == GDT_Float32;
    if (GDALDataTypeIsComplex(band->GetRasterDataType()) != 0)
      InputLog::fail(fmt::format("{}: band {}", shown_, b), "", "holds complex numbers", "give a raster of plain numbers");
  }
}

void BandFile::read_tile(Tile tile, std::vector<double>& buffer, const TileSink& sink) const {
  const auto plane = static_cast<std::size_t>(tile.rows) * static_cast<std::size_t>(tile.columns);
  buffer.resize(plane * static_cast<std::size_t>(tile.bands));
  // South-up rows are asked for where they lie and written bottom line first.
  const int stored_row = info_.south_up ? info_.grid.rows - tile.row - tile.rows : tile.row;
  const auto line = static_cast<GSpacing>(sizeof(double)) * tile.columns;
  double* first =
      info_.south_up ? buffer.data() + static_cast<std::size_t>(tile.rows - 1) * static_cast<std::size_t>(tile.columns) : buffer.data();
  std::vector<int> bands;
  for (int b = 0; b < tile.bands; ++b) bands.push_back(tile.band + b + 1);
  const GdalWords words;
  const auto read = [&](int band_count, int* band_list, double* to) {
    return dataset_->RasterIO(GF_Read, tile.column, stored_row, tile.columns, tile.rows, to, tile.columns, tile.rows, GDT_Float64,
                              band_count, band_list, sizeof(double), info_.south_up ? -line : line,
                              static_cast<GSpacing>(sizeof(double) * plane), nullptr) == CE_None;
  };
  if (!read(tile.bands, bands.data(), first)) {
    // Asked again one by one, to name the band.
    for (int b = 0; b < tile.bands; ++b)
      if (!read(1, &bands[static_cast<std::size_t>(b)], first + static_cast<std::size_t>(b) * plane))
        InputLog::fail(fmt::format("{}: band {}", shown_, bands[static_cast<std::size_t>(b)]), "",
                       "cannot be read; " + log_.quote(words.text()), "check that the file is whole");
  }
  tile.values = buffer.data();
  sink(tile);
}

void BandFile::read(const Window& window, const TileSink& sink) const {
  int block_width = 0, block_height = 0;
  dataset_->GetRasterBand(1)->GetBlockSize(&block_width, &block_height);
  const char* interleave = dataset_->GetMetadataItem("INTERLEAVE", "IMAGE_STRUCTURE");
  const bool by_pixel = interleave != nullptr && std::string(interleave) == "PIXEL";
  // Pixel-interleaved blocks hold all bands: read all bands of a strip at once. Otherwise whole bands, a few at a time.
  const long long row_values = static_cast<long long>(window.columns) * (by_pixel ? info_.bands : 1);
  const long long strip = std::max<long long>(1, kTileValues / std::max<long long>(1, row_values));
  const int rows_at_once = static_cast<int>(std::min<long long>(window.rows, std::max<long long>(1, strip / block_height) * block_height));
  const long long plane = static_cast<long long>(rows_at_once) * window.columns;
  const int bands_at_once =
      by_pixel ? info_.bands : static_cast<int>(std::clamp<long long>(kTileValues / std::max<long long>(1, plane), 1, info_.bands));
  std::vector<double> buffer;
  for (int band = 0; band < info_.bands; band += bands_at_once)
    for (int row = window.row; row < window.row + window.rows;) {
      // Strips end on block lines of the file, so that no block is decoded twice.
      const int end = std::min(window.row + window.rows, (row / block_height) * block_height + rows_at_once);
      const int rows = std::max(1, end - row);
      read_tile({band, std::min(bands_at_once, info_.bands - band), row, rows, window.column, window.columns, nullptr}, buffer, sink);
      row += rows;
    }
}

}  // namespace

std::unique_ptr<RasterFile> open_band_file(const std::string& shown, const std::string& variable, InputLog& log) {
  const auto path = log.locate(shown);
  const GdalWords words;
  auto dataset = open_dataset(path.string());
  if (!dataset)
    InputLog::fail(shown, "", "cannot be opened as a raster; " + log.quote(words.text()),
                   "check that the file is whole and of a kind GDAL reads");
  if (!variable.empty() || (dataset->GetRasterCount() == 0 && dataset->GetMetadata("SUBDATASETS") != nullptr))
    dataset = open_subdataset(*dataset, shown, variable, log);
  for (char **file = dataset->GetFileList(), **next = file; next != nullptr; ++next) {
    if (*next == nullptr) {
      CSLDestroy(file);
      break;
    }
    log.file(*next);
  }
  return std::make_unique<BandFile>(std::move(dataset), shown, log);
}

}  // namespace rickyard
