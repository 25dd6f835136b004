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

/// What is asked for: the key under [rasters], what it measures, whether it has a time axis.
struct StackRequest {
  std::string key;
  Quantity quantity = Quantity::plain;
  bool timed = false;
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
  /// daily rate in monthly steps. Tiles as RasterFile::read gives them, bands counted through all files. Throws ReadFailure.
  void read(const Window& window, const TileSink& sink) const;

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
  void convert(const Part& part, int band, double* values, std::size_t n) const;
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
