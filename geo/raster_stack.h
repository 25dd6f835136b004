#pragma once
// A raster of the season: one file, or one file a year, with its unit, calendar, fill and place settled.
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geo/raster_file.h"
#include "geo/time_axis.h"
#include "geo/units.h"
#include "planner/season/season.h"

namespace rickyard {

struct YearFile {
  std::string shown;
  int year = 0;
};
/// Files that match a pattern with {year} in the file's name, by year. Throws ReadFailure where none does.
std::vector<YearFile> files_of_pattern(const std::string& pattern, const InputLog& log);

/// What is asked for: the key under [rasters], what it measures, whether it has a time axis.
struct StackRequest {
  std::string key;
  Quantity quantity = Quantity::plain;
  bool timed = false;
};

/// A tile of a stack as stored; bands count through all files of the stack.
struct StoredTile : TileShape {
  const std::byte* values = nullptr;
  std::size_t value_bytes = 0;
  Converter convert = nullptr;
  std::vector<Conversion> conversions;  // [band of the tile]
};

/// Memory for one tile, used again for the next; its bytes are not set beforehand.
class TileBuffer {
 public:
  std::byte* room_for(std::size_t bytes) {
    if (bytes > size_) {
      bytes_ = std::make_unique_for_overwrite<std::byte[]>(bytes);
      size_ = bytes;
    }
    return bytes_.get();
  }

 private:
  std::unique_ptr<std::byte[]> bytes_;
  std::size_t size_ = 0;
};

/// How a stack is read. threads: 0 = all cores. Buffers: at most threads + 1 tiles, each of at most tile_values values unless one block of
/// the file is larger.
struct TileReading {
  int threads = 1;
  long long tile_values = kTileValues;
};

class RasterStack {
 public:
  /// Opens and checks; every fault goes to the log, and an empty result means that there was one.
  static std::optional<RasterStack> open(const StackRequest& request, const RasterSource& source, InputLog& log);

  const StackRequest& request() const { return request_; }
  /// The path as written.
  const std::string& shown() const { return shown_; }
  const GridDefinition& grid() const { return grid_; }
  Step step() const { return step_; }
  ModelCalendar calendar() const { return calendar_; }
  const UnitConversion& unit() const { return unit_; }
  /// [band]; empty for a raster without time.
  const std::vector<ModelDate>& dates() const { return dates_; }
  int bands() const { return bands_; }
  /// "rain_1999.tif: band 3 (1999-01-03)"; band counts through all files from 0.
  std::string band_name(int band) const;

  /// Values in our units, NaN where missing: (stored x scale + offset) x factor + shift, times the days of the month for a
  /// daily rate in monthly steps. Tiles as RasterFile::tiles gives them, bands counted through all files. Throws ReadFailure.
  void read(const Window& window, const TileSink& sink) const;

  /// The same tiles as stored, with what converts them: work(tile, tiles that were worked on before, tiles in all), from several threads
  /// at once and in any order. Files that decode in parallel are read by all threads; others by the calling thread, while further threads
  /// work. Throws ReadFailure: that of the first tile that cannot be read; tiles after it may or may not have been worked on.
  using TileWork = std::function<void(const StoredTile& tile, long long done, long long total)>;
  void each_tile(const Window& window, const TileReading& reading, const TileWork& work) const;

  /// Rows that are decoded together, and the first row where such a block begins: where to cut, so that nothing is decoded twice.
  int block_rows() const { return parts_.front().file->info().block_rows; }
  int first_block_row() const { return parts_.front().file->info().first_block_row; }

 private:
  struct Part {
    std::string shown;
    std::shared_ptr<const RasterFile> file;
    int first_band = 0;
    std::optional<double> fill, scale, offset;
  };
  void open_parts(const RasterSource& source, InputLog& log);
  void settle_place(const RasterSource& source, InputLog& log);
  void settle_values(const RasterSource& source, InputLog& log);
  void settle_time(const RasterSource& source, InputLog& log);
  std::vector<ModelDate> dates_of_part(const Part& part, const RasterSource& source, InputLog& log) const;
  struct PartTile {
    const Part* part = nullptr;
    TileShape shape;  // in the part's own bands
  };
  std::vector<PartTile> tiles_of(const Window& window, long long tile_values) const;
  StoredTile read_tile(const PartTile& at, TileBuffer& buffer) const;
  Conversion conversion(const Part& part, int band) const;
  std::string table() const { return "[rasters." + request_.key + "]"; }

  StackRequest request_;
  std::string shown_;
  std::vector<Part> parts_;
  GridDefinition grid_;
  Step step_ = Step::day;
  ModelCalendar calendar_ = ModelCalendar::gregorian;
  UnitConversion unit_;
  std::vector<ModelDate> dates_;
  int bands_ = 0;
};

}  // namespace rickyard
