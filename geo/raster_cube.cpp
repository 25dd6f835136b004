// NetCDF and Zarr through GDAL's multidimensional API, in whole chunks: through the classic band API a chunked
// archive is decoded once a day and takes an hour.
#include <fmt/format.h>
#include <gdal_priv.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "geo/crs.h"
#include "geo/gdal_words.h"
#include "geo/raster_file.h"

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

class CubeFile : public RasterFile {
 public:
  CubeFile(std::shared_ptr<GDALGroup> root, ArrayPtr array, std::string shown, const InputLog& log)
      : root_(std::move(root)), array_(std::move(array)), shown_(std::move(shown)), log_(log) {
    find_dimensions();
    describe_grid();
    describe_time();
    describe_values();
  }

  void read(const Window& window, const TileSink& sink) const override;

 private:
  void find_dimensions();
  void describe_grid();
  void describe_time();
  void describe_values();
  std::vector<double> values_of(const GDALMDArray& axis) const;
  Axis regular_axis(std::size_t dimension) const;

  std::shared_ptr<GDALGroup> root_;
  ArrayPtr array_;
  std::string shown_;
  const InputLog& log_;
  std::vector<std::shared_ptr<GDALDimension>> dimensions_;
  int time_ = -1, north_ = -1, east_ = -1;  // positions in dimensions_
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

// Rows of every band in the other order. Done here and not by a negative stride, which makes the library read row by row.
void turn_rows(std::vector<double>& values, long long rows, long long columns) {
  const long long plane = rows * columns;
  for (long long band = 0; band < static_cast<long long>(values.size()); band += plane)
    for (long long r = 0; r < rows / 2; ++r) {
      const auto north = values.begin() + band + r * columns, south = values.begin() + band + (rows - 1 - r) * columns;
      std::swap_ranges(north, north + columns, south);
    }
}

void CubeFile::read(const Window& window, const TileSink& sink) const {
  // Chunk sizes as time, row, column; 0 means contiguous.
  std::array<long long, 3> chunk = {1, 1, 1}, size = {info_.bands, info_.grid.rows, info_.grid.columns};
  const auto blocks = array_->GetBlockSize();
  const std::array<int, 3> place = {time_, north_, east_};
  for (std::size_t k = 0; k < 3; ++k)
    if (place[k] >= 0 && blocks[static_cast<std::size_t>(place[k])] > 0)
      chunk[k] = std::min(size[k], static_cast<long long>(blocks[static_cast<std::size_t>(place[k])]));
  // The window in stored rows, widened to whole chunks.
  const long long first_stored = info_.south_up ? info_.grid.rows - window.row - window.rows : window.row;
  std::array<long long, 3> low = {0, first_stored, window.column},
                           high = {size[0], first_stored + window.rows, window.column + window.columns};
  for (std::size_t k = 1; k < 3; ++k) {
    low[k] = low[k] / chunk[k] * chunk[k];
    high[k] = std::min(size[k], (high[k] + chunk[k] - 1) / chunk[k] * chunk[k]);
  }
  // A tile is as many whole chunks as fit, eastwards first, then northwards, then in time.
  auto tile = chunk;
  for (const std::size_t k : {std::size_t{2}, std::size_t{1}, std::size_t{0}}) {
    const long long others = tile[0] * tile[1] * tile[2] / tile[k];
    const long long fit = std::max<long long>(1, kTileValues / (others * chunk[k]));
    tile[k] = std::min((high[k] - low[k] + chunk[k] - 1) / chunk[k], fit) * chunk[k];
  }
  std::vector<double> buffer;
  std::vector<GUInt64> start(dimensions_.size(), 0);
  std::vector<std::size_t> count(dimensions_.size(), 1);
  std::vector<GPtrDiff_t> stride(dimensions_.size(), 0);
  const auto type = GDALExtendedDataType::Create(GDT_Float64);
  for (long long t = low[0]; t < high[0]; t += tile[0])
    for (long long r = low[1]; r < high[1]; r += tile[1])
      for (long long c = low[2]; c < high[2]; c += tile[2]) {
        const std::array<long long, 3> at = {t, r, c};
        std::array<long long, 3> n{};
        for (std::size_t k = 0; k < 3; ++k) n[k] = std::min(tile[k], high[k] - at[k]);
        buffer.resize(static_cast<std::size_t>(n[0] * n[1] * n[2]));
        const std::array<long long, 3> step = {n[1] * n[2], n[2], 1};
        for (std::size_t k = 0; k < 3; ++k) {
          if (place[k] < 0) continue;
          const auto d = static_cast<std::size_t>(place[k]);
          start[d] = static_cast<GUInt64>(at[k]);
          count[d] = static_cast<std::size_t>(n[k]);
          stride[d] = static_cast<GPtrDiff_t>(step[k]);
        }
        const GdalWords words;
        if (!array_->Read(start.data(), count.data(), nullptr, stride.data(), type, buffer.data(), buffer.data(),
                          buffer.size() * sizeof(double)))
          InputLog::fail(n[0] == 1 ? fmt::format("{}: band {}", shown_, t + 1) : fmt::format("{}: bands {} to {}", shown_, t + 1, t + n[0]),
                         "", "cannot be read; " + log_.quote(words.text()), "check that the file is whole");
        if (info_.south_up) turn_rows(buffer, n[1], n[2]);
        const long long row = info_.south_up ? info_.grid.rows - r - n[1] : r;
        sink({static_cast<int>(t), static_cast<int>(n[0]), static_cast<int>(row), static_cast<int>(n[1]), static_cast<int>(c),
              static_cast<int>(n[2]), buffer.data()});
      }
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
  const auto path = log.locate(shown);
  const GdalWords words;
  const std::unique_ptr<GDALDataset> dataset(
      GDALDataset::Open(path.c_str(), GDAL_OF_MULTIDIM_RASTER | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR));
  auto root = dataset == nullptr ? nullptr : dataset->GetRootGroup();
  if (root == nullptr) InputLog::fail(shown, "", "cannot be opened; " + log.quote(words.text()), "check that the file is whole");
  auto array = find_variable(*root, shown, variable);
  if (std::filesystem::is_directory(path)) {
    std::vector<std::filesystem::path> parts;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(path))
      if (entry.is_regular_file()) parts.push_back(entry.path());
    std::sort(parts.begin(), parts.end());
    for (const auto& part : parts) log.file(part);
  } else {
    log.file(path);
  }
  return std::make_unique<CubeFile>(std::move(root), std::move(array), shown, log);
}

}  // namespace rickyard
