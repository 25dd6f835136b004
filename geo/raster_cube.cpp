// NetCDF and Zarr through GDAL's multidimensional API, in whole chunks: through the classic band API a chunked
// archive is decoded once a day and takes an hour.
#include <fmt/format.h>
#include <gdal_priv.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <mutex>

#include "geo/crs.h"
#include "geo/gdal_words.h"
#include "geo/raster_file.h"
#include "geo/remote.h"

namespace rickyard {
namespace {

using ArrayPtr = std::shared_ptr<GDALMDArray>;

std::string attribute_text(const GDALMDArray& array, const char* name) {
  const auto attribute = array.GetAttribute(name);
  const char* text = attribute == nullptr ? nullptr : attribute->ReadAsString();
  return text == nullptr ? "" : text;
}

enum class Role { time, north, east, other };

Role role_of(const GDALDimension& dimension) {
  const std::string& type = dimension.GetType();
  if (type == GDAL_DIM_TYPE_TEMPORAL) return Role::time;
  if (type == GDAL_DIM_TYPE_HORIZONTAL_Y) return Role::north;
  if (type == GDAL_DIM_TYPE_HORIZONTAL_X) return Role::east;
  const auto axis = dimension.GetIndexingVariable();
  const std::string unit = axis == nullptr ? "" : axis->GetUnit();
  if (unit.find(" since ") != std::string::npos) return Role::time;
  if (unit.starts_with("degrees_north") || unit == "degree_north" || dimension.GetName() == "y") return Role::north;
  if (unit.starts_with("degrees_east") || unit == "degree_east" || dimension.GetName() == "x") return Role::east;
  return Role::other;
}

// Numeric arrays with a north and an east axis.
bool is_grid(const GDALMDArray& array) {
  bool north = false, east = false;
  for (const auto& dimension : array.GetDimensions()) {
    north = north || role_of(*dimension) == Role::north;
    east = east || role_of(*dimension) == Role::east;
  }
  return north && east && array.GetDataType().GetClass() == GEDTC_NUMERIC;
}

// A regular axis: centre of the first cell and the step, which may be negative.
struct Axis {
  double first = 0, step = 0;
};

/// An array and what it hangs on.
struct OpenArray {
  std::shared_ptr<GDALGroup> root;
  ArrayPtr array;
};
OpenArray open_array(const std::string& name, const std::string& array_name) {
  const RemoteOpening plain(name);
  const std::unique_ptr<GDALDataset> dataset(
      GDALDataset::Open(name.c_str(), GDAL_OF_MULTIDIM_RASTER | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR));
  OpenArray out;
  if (dataset) out.root = dataset->GetRootGroup();
  if (out.root && !array_name.empty()) out.array = out.root->OpenMDArray(array_name);
  return out;
}

enum class Threads { one, many };

class CubeFile : public RasterFile {
 public:
  CubeFile(OpenArray open, std::string name, Threads threads, std::string shown, const InputLog& log)
      : array_(open.array), name_(std::move(name)), shown_(std::move(shown)), threads_(threads), log_(log) {
    find_dimensions();
    describe_grid();
    describe_time();
    describe_values();
    describe_chunks();
    idle_.push_back(std::move(open));
  }

  std::vector<TileShape> tiles(const Window& window, long long most_values) const override;
  void read_tile(const TileShape& shape, std::byte* to) const override;
  bool concurrent() const override { return threads_ == Threads::many; }
  void rest() const override {
    const std::lock_guard lock(mutex_);
    if (idle_.size() > 1) idle_.resize(1);
  }

 private:
  void find_dimensions();
  void describe_grid();
  void describe_time();
  void describe_values();
  void describe_chunks();
  std::vector<double> values_of(const GDALMDArray& axis) const;
  Axis regular_axis(std::size_t dimension) const;
  OpenArray take_array() const;

  ArrayPtr array_;
  std::string name_, shown_;
  Threads threads_;
  const InputLog& log_;
  std::vector<std::shared_ptr<GDALDimension>> dimensions_;
  int time_ = -1, north_ = -1, east_ = -1;      // positions in dimensions_
  std::array<long long, 3> chunk_ = {1, 1, 1};  // time, row, column
  // An array serves one thread at a time, for it keeps the chunk it decoded last.
  mutable std::mutex mutex_;
  mutable std::vector<OpenArray> idle_;
};

void CubeFile::find_dimensions() {
  dimensions_ = array_->GetDimensions();
  for (std::size_t d = 0; d < dimensions_.size(); ++d) {
    int* slot = nullptr;
    switch (role_of(*dimensions_[d])) {
      case Role::time:
        slot = &time_;
        break;
      case Role::north:
        slot = &north_;
        break;
      case Role::east:
        slot = &east_;
        break;
      case Role::other:
        break;
    }
    if (dimensions_[d]->GetSize() > 1000000)
      InputLog::fail(shown_, dimensions_[d]->GetName(), "the axis is longer than a million", "check the file");
    if (slot != nullptr && *slot < 0)
      *slot = static_cast<int>(d);
    else if (dimensions_[d]->GetSize() != 1)
      InputLog::fail(shown_, dimensions_[d]->GetName(),
                     fmt::format("the variable has a further axis of {} values", dimensions_[d]->GetSize()),
                     "take one level or member out into a file of its own");
  }
}

std::vector<double> CubeFile::values_of(const GDALMDArray& axis) const {
  std::vector<double> values(static_cast<std::size_t>(axis.GetTotalElementsCount()));
  const GUInt64 start[] = {0};
  const std::size_t count[] = {values.size()};
  const GdalWords words;
  if (axis.GetDimensionCount() != 1 || !axis.Read(start, count, nullptr, nullptr, GDALExtendedDataType::Create(GDT_Float64), values.data()))
    InputLog::fail(shown_, axis.GetName(), "the axis cannot be read; " + log_.quote(words.text()), "check that the file is whole");
  return values;
}

Axis CubeFile::regular_axis(std::size_t d) const {
  const auto variable = dimensions_[d]->GetIndexingVariable();
  const std::string name = dimensions_[d]->GetName();
  if (variable == nullptr) InputLog::fail(shown_, name, "the axis has no coordinates", "give a file whose axes carry coordinates");
  const auto values = values_of(*variable);
  if (values.size() < 2)
    InputLog::fail(shown_, name, "the axis has fewer than two cells, so their size is unknown", "give at least two rows and columns");
  const double step = (values.back() - values.front()) / static_cast<double>(values.size() - 1);
  if (!(std::abs(step) > 0) || !std::isfinite(step)) InputLog::fail(shown_, name, "the coordinates do not rise or fall", "check the file");
  for (std::size_t i = 0; i < values.size(); ++i)
    if (!(std::abs(values[i] - (values.front() + step * static_cast<double>(i))) <= 2e-3 * std::abs(step)))
      InputLog::fail(shown_, name, fmt::format("the axis is not evenly spaced at position {} (value {:g})", i + 1, values[i]),
                     "regrid to even spacing first");
  const double metres = variable->GetUnit() == "km" ? 1000 : 1;
  return {values.front() * metres, step * metres};
}

void CubeFile::describe_grid() {
  GridDefinition& grid = info_.grid;
  const Axis east = regular_axis(static_cast<std::size_t>(east_)), north = regular_axis(static_cast<std::size_t>(north_));
  if (east.step < 0) InputLog::fail(shown_, "", "columns run from east to west", "turn the grid round first");
  grid.columns = static_cast<int>(dimensions_[static_cast<std::size_t>(east_)]->GetSize());
  grid.rows = static_cast<int>(dimensions_[static_cast<std::size_t>(north_)]->GetSize());
  grid.cell_width = east.step;
  grid.cell_height = std::abs(north.step);
  grid.west = east.first - east.step / 2;
  info_.south_up = north.step > 0;
  grid.north = info_.south_up ? north.first + north.step * (grid.rows - 0.5) : north.first - north.step / 2;
  grid.crs_wkt = wkt_of(array_->GetSpatialRef().get());
}

void CubeFile::describe_time() {
  info_.bands = 1;
  if (time_ < 0) return;
  const auto& dimension = dimensions_[static_cast<std::size_t>(time_)];
  info_.bands = static_cast<int>(dimension->GetSize());
  if (info_.bands == 0) InputLog::fail(shown_, dimension->GetName(), "the time axis is empty", "check the file");
  const auto variable = dimension->GetIndexingVariable();
  if (variable == nullptr) return;
  info_.times = values_of(*variable);
  info_.time_unit = variable->GetUnit();
  info_.calendar = attribute_text(*variable, "calendar");
}

void CubeFile::describe_values() {
  info_.unit = array_->GetUnit();
  bool has = false;
  const double fill = array_->GetNoDataValueAsDouble(&has);
  if (has) info_.fill = fill;
  const double scale = array_->GetScale(&has);
  if (has && scale != 1) info_.scale = scale;
  const double offset = array_->GetOffset(&has);
  if (has && offset != 0) info_.offset = offset;
  info_.single_precision = array_->GetDataType().GetNumericDataType() == GDT_Float32;
}

// Kinds of numbers that are read as they are.
struct KnownType {
  StoredType stored;
  GDALDataType gdal;
};
constexpr std::array<KnownType, 7> kKnownTypes = {{{StoredType::u8, GDT_Byte},
                                                   {StoredType::i16, GDT_Int16},
                                                   {StoredType::u16, GDT_UInt16},
                                                   {StoredType::i32, GDT_Int32},
                                                   {StoredType::u32, GDT_UInt32},
                                                   {StoredType::f32, GDT_Float32},
                                                   {StoredType::f64, GDT_Float64}}};

void CubeFile::describe_chunks() {
  const auto stored = array_->GetDataType().GetNumericDataType();
  for (const auto& known : kKnownTypes)
    if (known.gdal == stored) info_.stored = known.stored;
  const auto blocks = array_->GetBlockSize();
  const std::array<int, 3> place = {time_, north_, east_};
  const std::array<long long, 3> size = {info_.bands, info_.grid.rows, info_.grid.columns};
  for (std::size_t k = 0; k < 3; ++k)
    if (place[k] >= 0 && blocks[static_cast<std::size_t>(place[k])] > 0)
      chunk_[k] = std::min(size[k], static_cast<long long>(blocks[static_cast<std::size_t>(place[k])]));
  info_.block_rows = static_cast<int>(chunk_[1]);
  if (info_.south_up) info_.first_block_row = info_.grid.rows % info_.block_rows;
}

// Rows of every band in the other order. Done here and not by a negative stride, which makes the library read row by row.
void turn_rows(std::byte* values, const TileShape& shape, std::size_t row_bytes) {
  const auto rows = static_cast<std::size_t>(shape.rows);
  for (std::size_t band = 0; band < static_cast<std::size_t>(shape.bands); ++band)
    for (std::size_t r = 0; r < rows / 2; ++r) {
      std::byte *north = values + (band * rows + r) * row_bytes, *south = values + (band * rows + rows - 1 - r) * row_bytes;
      std::swap_ranges(north, north + row_bytes, south);
    }
}

std::vector<TileShape> CubeFile::tiles(const Window& window, long long most_values) const {
  // The window in stored rows, widened to whole chunks; time, row, column.
  const std::array<long long, 3> size = {info_.bands, info_.grid.rows, info_.grid.columns};
  const long long first_stored = info_.south_up ? info_.grid.rows - window.row - window.rows : window.row;
  std::array<long long, 3> low = {0, first_stored, window.column},
                           high = {size[0], first_stored + window.rows, window.column + window.columns};
  for (std::size_t k = 1; k < 3; ++k) {
    low[k] = low[k] / chunk_[k] * chunk_[k];
    high[k] = std::min(size[k], (high[k] + chunk_[k] - 1) / chunk_[k] * chunk_[k]);
  }
  // A tile is as many whole chunks as fit, eastwards first, then northwards, then in time.
  auto tile = chunk_;
  for (const std::size_t k : {std::size_t{2}, std::size_t{1}, std::size_t{0}}) {
    const long long others = tile[0] * tile[1] * tile[2] / tile[k];
    const long long fit = std::max<long long>(1, most_values / (others * chunk_[k]));
    tile[k] = std::min((high[k] - low[k] + chunk_[k] - 1) / chunk_[k], fit) * chunk_[k];
  }
  std::vector<TileShape> out;
  for (long long t = low[0]; t < high[0]; t += tile[0])
    for (long long r = low[1]; r < high[1]; r += tile[1])
      for (long long c = low[2]; c < high[2]; c += tile[2]) {
        const long long bands = std::min(tile[0], high[0] - t), rows = std::min(tile[1], high[1] - r),
                        columns = std::min(tile[2], high[2] - c);
        const long long row = info_.south_up ? info_.grid.rows - r - rows : r;
        out.push_back({static_cast<int>(t), static_cast<int>(bands), static_cast<int>(row), static_cast<int>(rows), static_cast<int>(c),
                       static_cast<int>(columns)});
      }
  return out;
}

OpenArray CubeFile::take_array() const {
  {
    const std::lock_guard lock(mutex_);
    if (!idle_.empty()) {
      auto open = std::move(idle_.back());
      idle_.pop_back();
      return open;
    }
  }
  const GdalWords words;
  auto open = open_array(name_, array_->GetName());
  if (!open.array)
    InputLog::fail(shown_, "", "cannot be opened a second time; " + log_.quote(words.text()), "check that it was not moved meanwhile");
  return open;
}

void CubeFile::read_tile(const TileShape& shape, std::byte* to) const {
  auto open = take_array();
  std::vector<GUInt64> start(dimensions_.size(), 0);
  std::vector<std::size_t> count(dimensions_.size(), 1);
  std::vector<GPtrDiff_t> stride(dimensions_.size(), 0);
  const std::array<int, 3> place = {time_, north_, east_};
  const int stored_row = info_.south_up ? info_.grid.rows - shape.row - shape.rows : shape.row;
  const std::array<int, 3> at = {shape.band, stored_row, shape.column}, n = {shape.bands, shape.rows, shape.columns};
  const std::array<std::size_t, 3> step = {shape.plane(), static_cast<std::size_t>(shape.columns), 1};
  for (std::size_t k = 0; k < 3; ++k) {
    if (place[k] < 0) continue;
    const auto d = static_cast<std::size_t>(place[k]);
    start[d] = static_cast<GUInt64>(at[k]);
    count[d] = static_cast<std::size_t>(n[k]);
    stride[d] = static_cast<GPtrDiff_t>(step[k]);
  }
  GDALDataType type = GDT_Float64;
  for (const auto& known : kKnownTypes)
    if (known.stored == info_.stored) type = known.gdal;
  const GdalWords words;
  if (!open.array->Read(start.data(), count.data(), nullptr, stride.data(), GDALExtendedDataType::Create(type), to, to,
                        shape.size() * bytes_of(info_.stored)))
    InputLog::fail(shape.bands == 1 ? fmt::format("{}: band {}", shown_, shape.band + 1)
                                    : fmt::format("{}: bands {} to {}", shown_, shape.band + 1, shape.band + shape.bands),
                   "", "cannot be read; " + log_.quote(words.text()), "check that the file is whole");
  if (info_.south_up) turn_rows(to, shape, static_cast<std::size_t>(shape.columns) * bytes_of(info_.stored));
  const std::lock_guard lock(mutex_);
  idle_.push_back(std::move(open));
}

ArrayPtr find_variable(const GDALGroup& root, const std::string& shown, const std::string& variable) {
  std::string names;
  int grids = 0;
  ArrayPtr only;
  for (const auto& name : root.GetMDArrayNames()) {
    auto array = root.OpenMDArray(name);
    if (array == nullptr || !is_grid(*array)) continue;
    if (name == variable) return array;
    names += (names.empty() ? "" : ", ") + name;
    only = array;
    ++grids;
  }
  if (!variable.empty())
    InputLog::fail(shown, variable,
                   grids == 0 ? "the file has no variable on a grid" : "there is no such variable on a grid; the file has: " + names,
                   "name one that is there");
  if (grids == 0) InputLog::fail(shown, "", "the file has no variable on a grid with a north and an east axis", "give a gridded file");
  if (grids > 1) InputLog::fail(shown, "", "the file holds several variables: " + names, "name one by variable = \"...\"");
  return only;
}

}  // namespace

std::unique_ptr<RasterFile> open_cube_file(const std::string& shown, const std::string& variable, InputLog& log) {
  const std::string name = gdal_name(shown, log);
  const GdalWords words;
  OpenArray open = open_array(name, "");
  if (open.root == nullptr && is_remote(shown)) fail_remote(shown, words.text());
  if (open.root == nullptr) InputLog::fail(shown, "", "cannot be opened; " + log.quote(words.text()), "check that the file is whole");
  open.array = find_variable(*open.root, shown, variable);
  const auto path = log.locate(shown);
  if (is_remote(shown)) {
    log.remote(shown);
  } else if (std::filesystem::is_directory(path)) {
    std::vector<std::filesystem::path> parts;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(path))
      if (entry.is_regular_file()) parts.push_back(entry.path());
    std::sort(parts.begin(), parts.end());
    for (const auto& part : parts) log.file(part);
  } else {
    log.file(path);
  }
  // HDF5 decodes under one lock, and reports errors from other threads on standard error.
  return std::make_unique<CubeFile>(std::move(open), name, is_zarr(name) ? Threads::many : Threads::one, shown, log);
}

}  // namespace rickyard
