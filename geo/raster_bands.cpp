// Band files (GeoTIFF, COG and whatever else GDAL reads as bands).
#include <fmt/format.h>
#include <gdal_priv.h>

#include <cmath>
#include <cstdlib>
#include <mutex>

#include "geo/crs.h"
#include "geo/gdal_words.h"
#include "geo/raster_file.h"
#include "geo/raw_bands.h"
#include "geo/remote.h"

namespace rickyard {
namespace {

using DatasetPtr = std::unique_ptr<GDALDataset>;

DatasetPtr open_dataset(const std::string& name) {
  const RemoteOpening plain(name);
  return DatasetPtr(GDALDataset::Open(name.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR));
}

// The subdataset whose name ends with the variable.
DatasetPtr open_subdataset(GDALDataset& container, const std::string& shown, const std::string& variable, InputLog& log,
                           std::string& name_out) {
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
      name_out = text;
      return dataset;
    }
    names += (names.empty() ? "" : ", ") + last;
  }
  if (variable.empty()) InputLog::fail(shown, "", "the file holds several variables: " + names, "name one by variable = \"...\"");
  InputLog::fail(shown, variable, names.empty() ? "the file has no named variables" : "there is no such variable; the file has: " + names,
                 names.empty() ? "leave out variable" : "name one of these by variable = \"...\"");
}

GDALDataType gdal_type(StoredType type) {
  switch (type) {
    case StoredType::u8:
      return GDT_Byte;
    case StoredType::i16:
      return GDT_Int16;
    case StoredType::u16:
      return GDT_UInt16;
    case StoredType::i32:
      return GDT_Int32;
    case StoredType::u32:
      return GDT_UInt32;
    case StoredType::f32:
      return GDT_Float32;
    case StoredType::f64:
      break;
  }
  return GDT_Float64;
}

StoredType stored_type(GDALDataType type) {
  for (const auto known : {StoredType::u8, StoredType::i16, StoredType::u16, StoredType::i32, StoredType::u32, StoredType::f32})
    if (gdal_type(known) == type) return known;
  return StoredType::f64;
}

class BandFile : public RasterFile {
 public:
  BandFile(DatasetPtr dataset, std::string name, std::string shown, const InputLog& log)
      : name_(std::move(name)), shown_(std::move(shown)), log_(log) {
    describe_grid(*dataset);
    describe_values(*dataset);
    describe_blocks(*dataset);
    idle_.push_back(std::move(dataset));
  }

  std::vector<TileShape> tiles(const Window& window, long long most_values) const override;
  void read_tile(const TileShape& shape, std::byte* to) const override;
  bool concurrent() const override { return concurrent_; }
  void rest() const override {
    const std::lock_guard lock(mutex_);
    if (idle_.size() > 1) idle_.resize(1);
  }

 private:
  void describe_grid(GDALDataset& dataset);
  void describe_values(GDALDataset& dataset);
  void describe_blocks(GDALDataset& dataset);
  DatasetPtr take_dataset() const;
  void give_back(DatasetPtr dataset) const;
  bool read_raw(GDALDataset& dataset, const TileShape& tile, std::byte* to) const;
  long long raw_offset(GDALDataset& dataset, int band) const;

  std::string name_, shown_;
  const InputLog& log_;
  bool concurrent_ = false, by_pixel_ = false;
  // A GDAL dataset serves one thread at a time: each thread takes one, and a further one is opened where none is idle.
  mutable std::mutex mutex_;
  mutable std::vector<DatasetPtr> idle_;
  bool raw_ = false;                           // bands may lie plainly in the file
  mutable std::vector<long long> raw_offset_;  // [band] of its first row in the file, or one of these
  static constexpr long long kNotAsked = -2, kNotPlain = -1;
};

void BandFile::describe_grid(GDALDataset& dataset) {
  GridDefinition& grid = info_.grid;
  grid.columns = dataset.GetRasterXSize();
  grid.rows = dataset.GetRasterYSize();
  info_.bands = dataset.GetRasterCount();
  if (info_.bands == 0) InputLog::fail(shown_, "", "the file holds no raster band", "name a raster");
  double g[6];
  if (dataset.GetGeoTransform(g) != CE_None)
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
  grid.crs_wkt = wkt_of(dataset.GetSpatialRef());
}

// Unit, fill, scale and offset must be one for all bands: a stack is one variable.
void BandFile::describe_values(GDALDataset& dataset) {
  for (int b = 1; b <= info_.bands; ++b) {
    GDALRasterBand* band = dataset.GetRasterBand(b);
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

void BandFile::describe_blocks(GDALDataset& dataset) {
  int block_width = 0;
  dataset.GetRasterBand(1)->GetBlockSize(&block_width, &info_.block_rows);
  if (info_.south_up) info_.first_block_row = info_.grid.rows % info_.block_rows;
  const char* interleave = dataset.GetMetadataItem("INTERLEAVE", "IMAGE_STRUCTURE");
  by_pixel_ = interleave != nullptr && std::string(interleave) == "PIXEL" && info_.bands > 1;
  info_.stored = stored_type(dataset.GetRasterBand(1)->GetRasterDataType());
  for (int b = 2; b <= info_.bands; ++b)
    if (dataset.GetRasterBand(b)->GetRasterDataType() != dataset.GetRasterBand(1)->GetRasterDataType()) info_.stored = StoredType::f64;
  const std::string driver = dataset.GetDriver() == nullptr ? "" : dataset.GetDriver()->GetDescription();
  concurrent_ = driver == "GTiff" || driver == "COG";
  // Bands that may lie plainly in the file.
  if (driver == "GTiff" && !info_.south_up && !is_remote_name(name_) &&
      dataset.GetMetadataItem("COMPRESSION", "IMAGE_STRUCTURE") == nullptr &&
      dataset.GetRasterBand(1)->GetRasterDataType() == gdal_type(info_.stored)) {
    raw_ = true;
    raw_offset_.assign(static_cast<std::size_t>(info_.bands), kNotAsked);
  }
}

DatasetPtr BandFile::take_dataset() const {
  {
    const std::lock_guard lock(mutex_);
    if (!idle_.empty()) {
      auto dataset = std::move(idle_.back());
      idle_.pop_back();
      return dataset;
    }
  }
  const GdalWords words;
  auto dataset = open_dataset(name_);
  if (!dataset)
    InputLog::fail(shown_, "", "cannot be opened a second time; " + log_.quote(words.text()), "check that it was not moved meanwhile");
  return dataset;
}

void BandFile::give_back(DatasetPtr dataset) const {
  const std::lock_guard lock(mutex_);
  idle_.push_back(std::move(dataset));
}

// GDAL offers a mapping of a band only where its blocks follow each other in the byte order of the machine: then the rows lie from the
// first block onwards.
long long BandFile::raw_offset(GDALDataset& dataset, int band) const {
  const auto b = static_cast<std::size_t>(band);
  {
    const std::lock_guard lock(mutex_);
    if (raw_offset_[b] != kNotAsked) return raw_offset_[b];
  }
  GDALRasterBand* raster = dataset.GetRasterBand(band + 1);
  int pixel_space = 0;
  GIntBig line_space = 0;
  const char* options[] = {"USE_DEFAULT_IMPLEMENTATION=NO", nullptr};
  CPLVirtualMem* mapping = raster->GetVirtualMemAuto(GF_Read, &pixel_space, &line_space, const_cast<char**>(options));
  long long offset = kNotPlain;
  const auto width = static_cast<GIntBig>(bytes_of(info_.stored));
  if (mapping != nullptr && pixel_space == width && line_space == width * info_.grid.columns) {
    const char* text = raster->GetMetadataItem("BLOCK_OFFSET_0_0", "TIFF");
    if (text != nullptr) offset = std::strtoll(text, nullptr, 10);
  }
  if (mapping != nullptr) CPLVirtualMemFree(mapping);
  const std::lock_guard lock(mutex_);
  return raw_offset_[b] = offset > 0 ? offset : kNotPlain;
}

// False where the tile must be read by GDAL, be it for its words.
bool BandFile::read_raw(GDALDataset& dataset, const TileShape& tile, std::byte* to) const {
  if (!raw_) return false;
  const GdalWords quiet;
  const RawBands file(name_);
  const auto width = static_cast<long long>(bytes_of(info_.stored)), line = width * info_.grid.columns;
  const auto part = static_cast<std::size_t>(width * tile.columns);
  for (int b = 0; b < tile.bands; ++b) {
    const long long offset = raw_offset(dataset, tile.band + b);
    if (offset < 0) return false;
    const long long first = offset + line * tile.row + width * tile.column;
    std::byte* at = to + static_cast<std::size_t>(b) * part * static_cast<std::size_t>(tile.rows);
    if (tile.columns == info_.grid.columns) {
      if (!file.read(first, at, part * static_cast<std::size_t>(tile.rows))) return false;
      continue;
    }
    for (int r = 0; r < tile.rows; ++r)
      if (!file.read(first + line * r, at + static_cast<std::size_t>(r) * part, part)) return false;
  }
  return true;
}

void BandFile::read_tile(const TileShape& tile, std::byte* to) const {
  auto dataset = take_dataset();
  if (read_raw(*dataset, tile, to)) return give_back(std::move(dataset));
  const auto type = gdal_type(info_.stored);
  const auto width = static_cast<GSpacing>(bytes_of(info_.stored));
  // South-up rows are asked for where they lie and written bottom line first.
  const int stored_row = info_.south_up ? info_.grid.rows - tile.row - tile.rows : tile.row;
  const GSpacing line = width * tile.columns, plane = line * tile.rows;
  std::byte* first = info_.south_up ? to + line * (tile.rows - 1) : to;
  std::vector<int> bands;
  for (int b = 0; b < tile.bands; ++b) bands.push_back(tile.band + b + 1);
  const GdalWords words;
  const auto read = [&](int band_count, int* band_list, std::byte* at) {
    return dataset->RasterIO(GF_Read, tile.column, stored_row, tile.columns, tile.rows, at, tile.columns, tile.rows, type, band_count,
                             band_list, width, info_.south_up ? -line : line, plane, nullptr) == CE_None;
  };
  if (!read(tile.bands, bands.data(), first)) {
    // Asked again one by one, to name the band.
    for (int b = 0; b < tile.bands; ++b)
      if (!read(1, &bands[static_cast<std::size_t>(b)], first + plane * b))
        InputLog::fail(fmt::format("{}: band {}", shown_, bands[static_cast<std::size_t>(b)]), "",
                       "cannot be read; " + log_.quote(words.text()), "check that the file is whole");
  }
  give_back(std::move(dataset));
}

std::vector<TileShape> BandFile::tiles(const Window& window, long long most_values) const {
  // Pixel-interleaved blocks hold all bands: read all bands of a strip at once. Otherwise whole bands, a few at a time.
  const int height = info_.block_rows;
  const long long row_values = std::max<long long>(1, static_cast<long long>(window.columns) * (by_pixel_ ? info_.bands : 1));
  const long long strip = std::max<long long>(1, most_values / row_values);
  const int rows_at_once = static_cast<int>(std::min<long long>(window.rows, std::max<long long>(1, strip / height) * height));
  const long long plane = std::max<long long>(1, static_cast<long long>(rows_at_once) * window.columns);
  const int bands_at_once = by_pixel_ ? info_.bands : static_cast<int>(std::clamp<long long>(most_values / plane, 1, info_.bands));
  std::vector<TileShape> out;
  for (int band = 0; band < info_.bands; band += bands_at_once)
    for (int row = window.row; row < window.row + window.rows;) {
      // Strips end on block lines of the file, so that no block is decoded twice.
      const int into_block = ((row - info_.first_block_row) % height + height) % height;
      const int end = std::min(window.row + window.rows, row - into_block + rows_at_once);
      const int rows = std::max(1, end - row);
      out.push_back({band, std::min(bands_at_once, info_.bands - band), row, rows, window.column, window.columns});
      row += rows;
    }
  return out;
}

}  // namespace

std::unique_ptr<RasterFile> open_band_file(const std::string& shown, const std::string& variable, InputLog& log) {
  std::string name = gdal_name(shown, log);
  const GdalWords words;
  auto dataset = open_dataset(name);
  if (!dataset && is_remote(shown)) fail_remote(shown, words.text());
  if (!dataset)
    InputLog::fail(shown, "", "cannot be opened as a raster; " + log.quote(words.text()),
                   "check that the file is whole and of a kind GDAL reads");
  if (!variable.empty() || (dataset->GetRasterCount() == 0 && dataset->GetMetadata("SUBDATASETS") != nullptr))
    dataset = open_subdataset(*dataset, shown, variable, log, name);
  char** files = dataset->GetFileList();
  for (char** file = files; file != nullptr && *file != nullptr; ++file) log.file(*file);
  CSLDestroy(files);
  if (is_remote(shown)) log.remote(shown);
  if (dataset->GetDriver() != nullptr && std::string(dataset->GetDriver()->GetDescription()) == "VRT") log.draws_on_others();
  return std::make_unique<BandFile>(std::move(dataset), std::move(name), shown, log);
}

}  // namespace rickyard
