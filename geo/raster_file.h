#pragma once
// One raster file behind one interface: band files through GDAL's classic API, NetCDF and Zarr through the
// multidimensional one. Values come as stored; rows always come north first.
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geo/grid.h"
#include "geo/input_log.h"
#include "geo/stored_values.h"

namespace rickyard {

/// What a file says about itself. Empty or nullopt: it does not say.
struct RasterFileInfo {
  GridDefinition grid;  // crs_wkt empty where the file has none; geographic is then false
  int bands = 0;
  bool south_up = false;                // rows were stored south first and are turned on reading
  StoredType stored = StoredType::f64;  // what read_tile gives
  bool single_precision = false;        // stored as 32-bit floats: a fill value is compared as one
  int block_rows = 1;                   // rows that are decoded together, and the first row from the north where such a block begins
  int first_block_row = 0;
  std::string unit;
  std::optional<double> fill, scale, offset;
  std::string calendar, time_unit;  // CF time axis
  std::vector<double> times;        // [band]; empty: no time axis
};

/// Place of a block of values [band][row][column], column fastest; rows count from the north.
struct TileShape {
  int band = 0, bands = 0;
  int row = 0, rows = 0;
  int column = 0, columns = 0;
  std::size_t plane() const { return static_cast<std::size_t>(rows) * static_cast<std::size_t>(columns); }
  std::size_t size() const { return plane() * static_cast<std::size_t>(bands); }
};

/// A block of values as doubles.
struct Tile : TileShape {
  const double* values = nullptr;
};
using TileSink = std::function<void(const Tile&)>;

/// Part of a grid; rows count from the north.
struct Window {
  int row = 0, rows = 0;
  int column = 0, columns = 0;
};

/// Values in one tile at most, unless one block of the file is larger: small enough to stay in a cache of the processor.
inline constexpr long long kTileValues = 1LL << 20;

class RasterFile {
 public:
  virtual ~RasterFile() = default;
  const RasterFileInfo& info() const { return info_; }
  /// Tiles that together cover the window (and may reach beyond it, to whole chunks), each value once, in whole blocks of the file.
  virtual std::vector<TileShape> tiles(const Window& window, long long most_values) const = 0;
  /// Fills `to` with shape.size() values of type info().stored. Throws ReadFailure naming the band and quoting GDAL.
  virtual void read_tile(const TileShape& shape, std::byte* to) const = 0;
  /// Whether read_tile may be called from several threads at once; otherwise all calls come from the thread that opened the file.
  virtual bool concurrent() const = 0;
  /// No thread reads now: gives back what further threads opened, so that many files may be open at once.
  virtual void rest() const {}

 protected:
  RasterFileInfo info_;
};

/// shown: the path as the user wrote it, for messages. variable: NetCDF variable or subdataset; may be empty where there is only one.
/// Throws ReadFailure.
std::unique_ptr<RasterFile> open_raster_file(const std::string& shown, const std::string& variable, InputLog& log);

// The two kinds, chosen by open_raster_file.
std::unique_ptr<RasterFile> open_band_file(const std::string& shown, const std::string& variable, InputLog& log);
std::unique_ptr<RasterFile> open_cube_file(const std::string& shown, const std::string& variable, InputLog& log);

}  // namespace rickyard
