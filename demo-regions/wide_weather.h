#pragma once
// The same weather for hundreds of thousands of cells: Richardson's scheme with its laws tabled by day, on fields drawn at coarse nodes.
// A year is made alone, so that years can be made side by side; the same numbers in any order and on any number of threads.
#include <cstdint>
#include <span>
#include <vector>

#include "demo-regions/cell_weather.h"
#include "demo-regions/smooth_fields.h"

namespace rickyard::demo {

/// Hundredths of mm and C.
inline constexpr double kWideStep = 0.01;

/// Land cells by what their weather follows.
class WideCells {
 public:
  /// cells in rows from the north: row_start[r] .. row_start[r + 1] are those of row r, at latitude lat of their row.
  WideCells(const NodeGrid& nodes, const std::vector<CellClimate>& cells, std::vector<std::size_t> row_start);
  std::size_t size() const { return cells_.size(); }

 private:
  friend class WideYear;
  struct Cell {
    std::int32_t column = 0;  // node column to the west
    float u = 0;              // share of the way to the next
    float lee = 0;            // 0 on the wettest coast, 1 in the lee
    float annual_rain_mm = 0;
    float offset_c = 0;                      // of height and latitude
    float rain_scale = 0, warmth_scale = 0;  // 1 / standard deviation of the fields between nodes
  };
  struct Row {
    int node_row = 0;
    float v = 0;
  };
  NodeGrid nodes_;
  std::vector<Cell> cells_;
  std::vector<std::size_t> row_start_;
  std::vector<Row> rows_;
};

/// Fields at the nodes for every day of the archive, drawn once.
class WideFields {
 public:
  enum Field { occurrence, amount, tmax_residual, tmin_residual, fields };
  /// days: of all years together, in order.
  WideFields(const NodeGrid& nodes, int days, unsigned seed);
  const float* at(int day, Field field) const {
    return values_.data() + (static_cast<std::size_t>(day) * fields + field) * static_cast<std::size_t>(nodes_);
  }

 private:
  int nodes_ = 0;
  std::vector<float> values_;  // [day][field][node]
};

/// One calendar year, day after day.
class WideYear {
 public:
  /// first_day: of 1 January in the fields. Before it the chain of wet and dry days runs through the last `kRunIn` days of the year before
  /// (or of the year itself for the first one), from dry: yesterday is forgotten by then but in one cell of a million.
  WideYear(const WideCells& cells, const WideFields& fields, const std::vector<YearAnomaly>& years, std::size_t year, int first_day);
  static constexpr int kRunIn = 12;

  /// The next day. Spans: [cell], hundredths.
  void next(std::span<std::int16_t> rain_cmm, std::span<std::int16_t> tmin_cc, std::span<std::int16_t> tmax_cc);

 private:
  struct DayLaw;
  const WideCells& cells_;
  const WideFields& fields_;
  const YearAnomaly& anomaly_;
  int first_day_ = 0, day_ = 0;
  std::vector<std::uint8_t> wet_;
  std::vector<float> line_;  // [field][node column], between two node rows

  void blend_row(int field_day, const WideCells::Row& row);
  void occur(const DayLaw& law, int field_day);
};

}  // namespace rickyard::demo
