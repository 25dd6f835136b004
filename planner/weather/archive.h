#pragma once
// The daily weather archive, quantised once on reading: everything downstream starts from these integers.
#include <algorithm>
#include <cassert>
#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <limits>
#include <memory>
#include <span>
#include <vector>

#include "planner/base/calendar.h"

namespace rickyard {

/// Values of one weather variable: its own, like a vector, or a view of memory that somebody else keeps (a mapped file). A view is never
/// written; a copy of a view is a view.
template <typename T>
class WeatherValues {
 public:
  WeatherValues() = default;
  WeatherValues(std::initializer_list<T> values) : own_(values) {}
  WeatherValues(std::vector<T> values) : own_(std::move(values)) {}  // NOLINT: a vector is meant to pass for one
  static WeatherValues view(std::span<const T> values) {
    WeatherValues out;
    out.view_ = values;
    return out;
  }

  bool empty() const { return size() == 0; }
  std::size_t size() const { return view_.data() ? view_.size() : own_.size(); }
  const T* data() const { return view_.data() ? view_.data() : own_.data(); }
  const T* begin() const { return data(); }
  const T* end() const { return data() + size(); }
  const T& operator[](std::size_t i) const { return data()[i]; }
  bool operator==(const WeatherValues& other) const { return std::equal(begin(), end(), other.begin(), other.end()); }

  // Of its own values only.
  T& operator[](std::size_t i) {
    assert(!view_.data());
    return own_[i];
  }
  T* begin() {
    assert(!view_.data());
    return own_.data();
  }
  T* end() { return begin() + own_.size(); }
  void assign(std::size_t n, T value) { own_.assign(n, value); }
  void resize(std::size_t n) { own_.resize(n); }
  void push_back(T value) { own_.push_back(value); }
  void clear() { *this = {}; }

 private:
  std::vector<T> own_;
  std::span<const T> view_;
};

/// Memory behind the views of an archive, by cell.
class WeatherPages {
 public:
  virtual ~WeatherPages() = default;
  /// Checks what is kept of these cells, once. Throws DamagedEntry (planner/base/cache.h).
  virtual void require(int first_cell, int cells) const = 0;
  /// These cells will not be read soon.
  virtual void release(int first_cell, int cells) const = 0;
};

/// Daily weather of `cells` cells. All arrays: [block of 16 cells][day][cell of the block], day 0 = first_day; the last block is as narrow
/// as its cells are few. `at` is the one home of this order.
/// rain 0.01 mm (0..65534), temperatures 0.01 C, wind 0.01 m/s at 2 m, vapour pressure 0.001 kPa,
/// radiation 0.01 MJ/m2/d, et0 0.01 mm. Empty optional arrays: not supplied.
/// A real Gregorian day sequence: geo has already mapped 360_day and 365_day calendars (METHODS.md, "Calendars").
struct WeatherArchive {
  static constexpr std::uint16_t kMissingRain = std::numeric_limits<std::uint16_t>::max();
  static constexpr std::int16_t kMissingTemperature = std::numeric_limits<std::int16_t>::min();
  static constexpr std::uint16_t kMissingOther = std::numeric_limits<std::uint16_t>::max();
  static constexpr int kBlockCells = 16;

  int cells = 0;
  int days = 0;
  Date first_day{boost::date_time::not_a_date_time};
  WeatherValues<std::uint16_t> rain_cmm;
  WeatherValues<std::int16_t> tmin_cc, tmax_cc;
  WeatherValues<std::uint16_t> wind_cms, vapour_pa, radiation_cmj, et0_cmm;  // optional
  bool rain_disaggregated = false;                                           // daily rain was made from monthly totals
  std::shared_ptr<const WeatherPages> pages;                                 // where the arrays are views

  /// Values of one array.
  std::size_t size() const { return static_cast<std::size_t>(days) * static_cast<std::size_t>(cells); }
  /// Cells of the block that holds this cell: the step from one day to the next.
  std::size_t stride(int cell) const {
    const int first = cell / kBlockCells * kBlockCells;
    return static_cast<std::size_t>(cells - first < kBlockCells ? cells - first : kBlockCells);
  }
  std::size_t at(int day, int cell) const {
    const int first = cell / kBlockCells * kBlockCells;
    return static_cast<std::size_t>(first) * static_cast<std::size_t>(days) + static_cast<std::size_t>(day) * stride(cell) +
           static_cast<std::size_t>(cell - first);
  }
  void require(int first_cell, int count) const {
    if (pages) pages->require(first_cell, count);
  }
};

}  // namespace rickyard
