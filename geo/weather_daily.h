#pragma once
// Daily weather of a stretch of cells, read from the rasters into an archive of its own.
#include <vector>

#include "geo/weather.h"
#include "geo/weather_findings.h"
#include "geo/weather_quantise.h"

namespace rickyard {

/// One array of the archive and the stack that fills it.
struct DailyVariable {
  enum class Kind { rain, temperature, other, relative_humidity };
  Kind kind = Kind::other;
  const RasterStack* stack = nullptr;
  Quantising rule;
  WeatherValues<std::int16_t> WeatherArchive::*temperature = nullptr;  // one of these two
  WeatherValues<std::uint16_t> WeatherArchive::*other = nullptr;
  bool required() const { return kind == Kind::rain || kind == Kind::temperature; }
};

class DailyReader {
 public:
  DailyReader(const WeatherStacks& stacks, const CellList& cells, const ReadingOptions& options, Progress& progress);

  const std::vector<DailyVariable>& variables() const { return variables_; }
  const RealDays& days() const { return days_; }
  std::size_t bytes_per_cell() const;
  /// Where to cut the list of cells so that a slab takes at most `bytes`: first positions, then the end. Cuts lie between block rows of the
  /// file where such a slab fits, else between rows, else anywhere.
  std::vector<std::size_t> slabs(std::size_t bytes) const;

  /// Cells [first, first + count) of the list into `into`, whose arrays are reused. A stack that failed once is not read again.
  WeatherFindings read(std::size_t first, std::size_t count, WeatherArchive& into);

  /// These cells were read by an earlier process.
  void skip(std::size_t count);

  /// What was found, as problems in order of reading.
  void report(const WeatherFindings& findings, InputLog& log) const;

 private:
  long long tile_values() const;
  void read_variable(std::size_t v, const CellList& slab, WeatherArchive& into, VariableFindings& findings);
  void mark_gaps(const DailyVariable& variable, const WeatherArchive& archive, VariableFindings& findings,
                 std::vector<char>& complete) const;
  Tally find_crossed(const WeatherArchive& archive) const;
  void report_refused(const DailyVariable& variable, const VariableFindings& findings, InputLog& log) const;
  void report_tally(const RasterStack& stack, const Tally& tally, const std::string& what, const std::string& remedy, InputLog& log) const;

  const CellList& cells_;
  const GridDefinition& grid_;
  const ReadingOptions options_;
  Progress& progress_;
  std::vector<DailyVariable> variables_;
  RealDays days_;
  bool both_extremes_ = false;  // tmin and tmax are rasters of their own
  std::vector<char> failed_;    // [variable]
  long long steps_ = 0;         // cells x variables that are done
};

}  // namespace rickyard
