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

namespace rickyard {

/// What a file says about itself. Empty or nullopt: it does not say.
struct RasterFileInfo {
  GridDefinition grid;  // crs_wkt empty where the file has none; geographic is then false
  int bands = 0;
  bool south_up = false;          // rows were stored south first and are turned on reading
  bool single_precision = false;  // stored as 32-bit floats: a fill value is compared as one
  std::string unit;
  std::optional<double> fill, scale, offset;
  std::string calendar, time_unit;  // CF time axis
  std::vector<double> times;        // [band]; empty: no time axis
};

/// A block of values. values: [band][row][column], column fastest, as stored.
struct Tile {
  int band = 0, bands = 0;
  int row = 0, rows = 0;
  int column = 0, columns = 0;
  const double* values = nullptr;
};
using TileSink = std::function<void(const Tile&)>;

/// Part of a grid; rows count from the north.
struct Window {
  int row = 0, rows = 0;
  int column = 0, columns = 0;
};

class RasterFile {
 public:
  virtual ~RasterFile() = default;
  const RasterFileInfo& info() const { return info_; }
  /// Calls the sink with tiles that together cover the window (and may reach beyond it, to whole chunks), each value
  /// once, in whole chunks of the file. Throws ReadFailure naming the band and quoting GDAL.
  virtual void read(const Window& window, const TileSink& sink) const = 0;

 protected:
  RasterFileInfo info_;
};

/// shown: the path as the user wrote it, for messages. variable: NetCDF variable or subdataset; may be empty where there is only one.
/// Throws ReadFailure.
std::unique_ptr<RasterFile> open_raster_file(const std::string& shown, const std::string& variable, InputLog& log);

// The two kinds, chosen by open_raster_file.
std::unique_ptr<RasterFile> open_band_file(const std::string& shown, const std::string& variable, InputLog& log);
std::unique_ptr<RasterFile> open_cube_file(const std::string& shown, const std::string& variable, InputLog& log);

/// Values in one tile at most (32 MB of doubles).
inline constexpr long long kTileValues = 4LL << 20;

}  // namespace rickyard
