#pragma once
// What reading the weather found, cell by cell, in a form that can be merged over slabs of cells and kept between runs.
#include <optional>
#include <vector>

#include "geo/byte_writer.h"
#include "planner/base/problem.h"

namespace rickyard {

/// How often something was wrong, and the first place (band, then cell), so that one message stands for all.
struct Tally {
  long long count = 0;
  int band = 0, cell = 0;
  double value = 0, other = 0;
  void add(int at_band, int at_cell, double found, double beside = 0);
  void merge(const Tally& later);
};

/// Cells that lack values on some days, but not on all; the first of the earliest gaps.
struct Gaps {
  long long cells = 0;
  int band = -1, cell = 0;
  void add(int first_band, int at_cell);
  /// later: of cells after these.
  void merge(const Gaps& later);
};

/// Of one variable of the archive.
struct VariableFindings {
  std::optional<Problem> failure;  // the stack could not be read to its end
  Tally low, high;                 // values below and above what is taken
  Gaps gaps;
  bool flawless() const { return !failure && low.count == 0 && high.count == 0; }
  void merge(const VariableFindings& later);
};

/// Cells count through the whole list.
struct WeatherFindings {
  std::vector<char> complete;  // [cell] 1 where rain and temperatures are there on every day
  std::vector<VariableFindings> variables;
  Tally crossed;  // tmin above tmax
  bool flawless() const;
  /// Appends the findings of the cells that follow.
  void append(const WeatherFindings& later);
};

/// Of findings without a flaw: completeness and gaps.
void put(ByteWriter& to, const WeatherFindings& findings);
void get(ByteReader& from, WeatherFindings& findings);

}  // namespace rickyard
