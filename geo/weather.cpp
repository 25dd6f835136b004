// Weather values into the archive.
#include "geo/weather.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

namespace rickyard {
namespace {

constexpr double kHottest = 60;  // C; the coldest is its negative

// How often something was wrong, and the first place, so that one message stands for all.
struct Tally {
  long long count = 0;
  int band = 0, cell = 0;
  double value = 0;
  void add(int at_band, int at_cell, double found) {
    if (count++ == 0 || at_band < band || (at_band == band && at_cell < cell)) {
      band = at_band;
      cell = at_cell;
      value = found;
    }
  }
};

std::string number(double value) { return fmt::format("{:.6g}", value); }

class WeatherReader {
 public:
  WeatherReader(const WeatherStacks& stacks, const CellList& cells, Progress& progress, InputLog& log)
      : stacks_(stacks), cells_(cells), grid_(stacks.leader()->grid()), window_(window_of(cells, grid_)), progress_(progress), log_(log) {
    row_start_.assign(static_cast<std::size_t>(grid_.rows) + 1, 0);
    for (int cell : cells_) ++row_start_[static_cast<std::size_t>(cell / grid_.columns) + 1];
    for (std::size_t r = 0; r + 1 < row_start_.size(); ++r) row_start_[r + 1] += row_start_[r];
  }

  WeatherReading read();

 private:
  template <typename Take>
  void each_value(const RasterStack& stack, const Take& take);
  WeatherArchive read_daily();
  MonthlyArchive read_monthly();
  void read_rain(WeatherArchive& archive);
  void read_temperature(const RasterStack& stack, double shift, const WeatherArchive& archive, WeatherValues<std::int16_t>& out);
  enum class Relative { no, yes };
  void read_other(const RasterStack& stack, double factor, double highest, const WeatherArchive& archive, WeatherValues<std::uint16_t>& out,
                  Relative relative = Relative::no);
  void check_order(const WeatherArchive& archive);
  void mark_complete(const RasterStack& stack, const std::function<bool(int, int)>& missing);
  std::string cell_name(int position) const {
    const int cell = cells_[static_cast<std::size_t>(position)];
    return fmt::format("row {}, column {}", cell / grid_.columns + 1, cell % grid_.columns + 1);
  }
  void report(const RasterStack& stack, const Tally& tally, const std::string& what, const std::string& remedy) {
    if (tally.count == 0) return;
    const std::string more = tally.count > 1 ? fmt::format(" ({} values in all)", tally.count) : "";
    log_.error(stack.band_name(tally.band), number(tally.value), what + " at " + cell_name(tally.cell) + more, remedy);
  }

  const WeatherStacks& stacks_;
  const CellList& cells_;
  const GridDefinition& grid_;
  const Window window_;
  Progress& progress_;
  InputLog& log_;
  std::vector<std::size_t> row_start_;  // [row] first position in cells_
  RealDays days_;
  std::vector<char> complete_;
  std::size_t problems_before_ = 0;
};

// take(band, position of the cell, value or NaN). A stack that cannot be read to its end is logged.
template <typename Take>
void WeatherReader::each_value(const RasterStack& stack, const Take& take) {
  problems_before_ = log_.problems.size();
  try {
    stack.read(window_, [&](const Tile& tile) {
      for (int r = 0; r < tile.rows; ++r) {
        const int row = tile.row + r;
        const auto begin = cells_.begin() + static_cast<std::ptrdiff_t>(row_start_[static_cast<std::size_t>(row)]);
        const auto end = cells_.begin() + static_cast<std::ptrdiff_t>(row_start_[static_cast<std::size_t>(row) + 1]);
        const auto first = std::lower_bound(begin, end, row * grid_.columns + tile.column);
        const auto last = std::lower_bound(first, end, row * grid_.columns + tile.column + tile.columns);
        if (first == last) continue;
        for (int b = 0; b < tile.bands; ++b) {
          const double* line =
              tile.values + (static_cast<std::size_t>(b) * static_cast<std::size_t>(tile.rows) + static_cast<std::size_t>(r)) *
                                static_cast<std::size_t>(tile.columns);
          for (auto cell = first; cell != last; ++cell)
            take(tile.band + b, static_cast<int>(cell - cells_.begin()), line[*cell - row * grid_.columns - tile.column]);
        }
      }
      progress_.step(tile.band + tile.bands, stack.bands());
    });
  } catch (const ReadFailure& failure) {
    log_.add(failure.problem);
  }
}

void WeatherReader::read_rain(WeatherArchive& archive) {
  Tally negative, excessive;
  archive.rain_cmm.assign(archive.size(), WeatherArchive::kMissingRain);
  each_value(*stacks_.rain, [&](int band, int cell, double mm) {
    if (std::isnan(mm)) return;
    const double rounded = std::round(mm * 100);
    if (rounded < 0) return negative.add(band, cell, mm);
    if (rounded > 65534) return excessive.add(band, cell, mm);
    const auto b = static_cast<std::size_t>(band);
    archive.rain_cmm[archive.at(days_.start[b], cell)] = static_cast<std::uint16_t>(rounded);
    for (int k = 1; k < days_.count[b]; ++k) archive.rain_cmm[archive.at(days_.start[b] + k, cell)] = 0;
  });
  report(*stacks_.rain, negative, "rain is negative", "where this stands for a missing value, state fill in [rasters.rain]");
  report(*stacks_.rain, excessive, "rain is over 655.34 mm in a day",
         "where this stands for a missing value, state fill in [rasters.rain]; otherwise check the unit");
  mark_complete(*stacks_.rain, [&](int band, int cell) {
    return archive.rain_cmm[archive.at(days_.start[static_cast<std::size_t>(band)], cell)] == WeatherArchive::kMissingRain;
  });
}

void WeatherReader::read_temperature(const RasterStack& stack, double shift, const WeatherArchive& archive,
                                     WeatherValues<std::int16_t>& out) {
  Tally wild;
  out.assign(archive.size(), WeatherArchive::kMissingTemperature);
  each_value(stack, [&](int band, int cell, double celsius) {
    if (std::isnan(celsius)) return;
    const double value = celsius + shift;
    if (!(std::abs(value) <= kHottest)) return wild.add(band, cell, celsius);
    const auto b = static_cast<std::size_t>(band);
    for (int k = 0; k < days_.count[b]; ++k)
      out[archive.at(days_.start[b] + k, cell)] = static_cast<std::int16_t>(std::round(value * 100));
  });
  report(stack, wild, stack.request().key + " is outside -60 to 60 C",
         "where this stands for a missing value, state fill in [rasters." + stack.request().key + "]; otherwise check the unit");
  mark_complete(stack, [&](int band, int cell) {
    return out[archive.at(days_.start[static_cast<std::size_t>(band)], cell)] == WeatherArchive::kMissingTemperature;
  });
}

// Optional inputs: quantised by `factor`, from 0 to `highest` (our unit). With temperatures: relative humidity is turned into
// vapour pressure by FAO-56 equation 19, ea = RH (e0(tmin) + e0(tmax)) / 2, from the quantised temperatures.
void WeatherReader::read_other(const RasterStack& stack, double factor, double highest, const WeatherArchive& archive,
                               WeatherValues<std::uint16_t>& out, Relative relative) {
  Tally wild;
  const WeatherArchive* temperatures = relative == Relative::yes ? &archive : nullptr;
  out.assign(archive.size(), WeatherArchive::kMissingOther);
  const auto e0 = [](double c) { return 0.6108 * std::exp(17.27 * c / (c + 237.3)); };
  each_value(stack, [&](int band, int cell, double found) {
    if (std::isnan(found)) return;
    if (!(found >= 0 && found <= (temperatures != nullptr ? 1.05 : highest))) return wild.add(band, cell, found);
    const auto b = static_cast<std::size_t>(band);
    for (int k = 0; k < days_.count[b]; ++k) {
      const auto at = archive.at(days_.start[b] + k, cell);
      double value = found;
      if (temperatures != nullptr) {
        const auto low = temperatures->tmin_cc[at], high = temperatures->tmax_cc[at];
        if (low == WeatherArchive::kMissingTemperature || high == WeatherArchive::kMissingTemperature) continue;
        value = std::min(found, 1.0) * (e0(low * 0.01) + e0(high * 0.01)) / 2;
      }
      out[at] = static_cast<std::uint16_t>(std::round(value * factor));
    }
  });
  const std::string& key = stack.request().key;
  report(stack, wild, temperatures != nullptr ? key + " is outside 0 to 105 %" : fmt::format("{} is outside 0 to {:g}", key, highest),
         "where this stands for a missing value, state fill in [rasters." + key + "]; otherwise check the unit");
}

void WeatherReader::check_order(const WeatherArchive& archive) {
  Tally crossed;
  double high = 0;
  for (int band = 0; band < static_cast<int>(days_.start.size()); ++band)
    for (int cell = 0; cell < archive.cells; ++cell) {
      const auto at = archive.at(days_.start[static_cast<std::size_t>(band)], cell);
      const auto low = archive.tmin_cc[at], top = archive.tmax_cc[at];
      if (low == WeatherArchive::kMissingTemperature || top == WeatherArchive::kMissingTemperature || low <= top) continue;
      if (crossed.count == 0) high = top * 0.01;
      crossed.add(band, cell, low * 0.01);
    }
  report(*stacks_.tmin, crossed, fmt::format("tmin is above tmax ({})", number(high)),
         "check that the two rasters were not exchanged and carry the same dates");
}

// A cell that lacks a value on some day counts as having no weather; one with gaps on some days only is worth a word.
void WeatherReader::mark_complete(const RasterStack& stack, const std::function<bool(int, int)>& missing) {
  long long gappy = 0;
  int first_band = -1, first_cell = 0;
  for (int cell = 0; cell < static_cast<int>(cells_.size()); ++cell) {
    int gaps = 0, first = -1;
    for (int band = 0; band < stack.bands(); ++band)
      if (missing(band, cell)) {
        if (gaps++ == 0) first = band;
      }
    if (gaps == 0) continue;
    complete_[static_cast<std::size_t>(cell)] = 0;
    if (gaps == stack.bands()) continue;
    ++gappy;
    if (first_band < 0 || first < first_band) {
      first_band = first;
      first_cell = cell;
    }
  }
  // Where values were refused the error has said enough.
  if (gappy > 0 && log_.problems.size() == problems_before_)
    log_.warning(
        stack.band_name(first_band), "",
        fmt::format("{} has gaps in {} cell{}, the first at {}", stack.request().key, gappy, gappy == 1 ? "" : "s", cell_name(first_cell)),
        "such cells count as having no weather; fill the gaps to use them");
}

WeatherArchive WeatherReader::read_daily() {
  const RasterStack& leader = *stacks_.leader();
  days_ = real_days(leader.calendar(), day_index(leader.calendar(), leader.dates().front()), leader.bands());
  WeatherArchive archive;
  archive.cells = static_cast<int>(cells_.size());
  archive.days = days_.days;
  archive.first_day = days_.first_day;
  if (stacks_.rain) read_rain(archive);
  if (stacks_.tmin) read_temperature(*stacks_.tmin, 0, archive, archive.tmin_cc);
  if (stacks_.tmax) read_temperature(*stacks_.tmax, 0, archive, archive.tmax_cc);
  if (stacks_.tmean) {
    read_temperature(*stacks_.tmean, -stacks_.half_range_c, archive, archive.tmin_cc);
    read_temperature(*stacks_.tmean, stacks_.half_range_c, archive, archive.tmax_cc);
  }
  if (stacks_.tmin && stacks_.tmax) check_order(archive);
  if (stacks_.wind) read_other(*stacks_.wind, 100, 100, archive, archive.wind_cms);
  if (stacks_.humidity) {
    const bool relative = stacks_.humidity->unit().relative;
    if (!relative || (!archive.tmin_cc.empty() && !archive.tmax_cc.empty()))
      read_other(*stacks_.humidity, 1000, 10, archive, archive.vapour_pa, relative ? Relative::yes : Relative::no);
  }
  if (stacks_.radiation) read_other(*stacks_.radiation, 100, 60, archive, archive.radiation_cmj);
  if (stacks_.et0) read_other(*stacks_.et0, 100, 50, archive, archive.et0_cmm);
  return archive;
}

MonthlyArchive WeatherReader::read_monthly() {
  const RasterStack& leader = *stacks_.leader();
  MonthlyArchive archive;
  archive.cells = static_cast<int>(cells_.size());
  archive.months = leader.bands();
  archive.first_month = {leader.dates().front().year, leader.dates().front().month};
  const auto cells = cells_.size();
  const auto take_all = [&](const RasterStack& stack, double shift, double lowest, double highest, const char* bounds,
                            std::vector<double>& out) {
    Tally wild;
    out.assign(static_cast<std::size_t>(archive.months) * cells, std::numeric_limits<double>::quiet_NaN());
    each_value(stack, [&](int month, int cell, double value) {
      if (std::isnan(value)) return;
      if (!(value + shift >= lowest && value + shift <= highest)) return wild.add(month, cell, value);
      out[static_cast<std::size_t>(month) * cells + static_cast<std::size_t>(cell)] =
          stack.request().quantity == Quantity::rain ? std::max(value, 0.0) : value + shift;
    });
    report(stack, wild, stack.request().key + " is outside " + bounds,
           "where this stands for a missing value, state fill in [rasters." + stack.request().key + "]; otherwise check the unit");
    // A month whose wet days are not known gets them from its rain.
    if (stack.request().quantity == Quantity::wet_days) return;
    mark_complete(stack, [&](int month, int cell) {
      return std::isnan(out[static_cast<std::size_t>(month) * cells + static_cast<std::size_t>(cell)]);
    });
  };
  if (stacks_.rain) take_all(*stacks_.rain, 0, -0.005, 10000, "0 to 10,000 mm a month", archive.rain_mm);
  const double h = stacks_.half_range_c;
  if (stacks_.tmean) take_all(*stacks_.tmean, -h, -kHottest, kHottest, "-60 to 60 C", archive.tmin_c);
  if (stacks_.tmean) take_all(*stacks_.tmean, h, -kHottest, kHottest, "-60 to 60 C", archive.tmax_c);
  if (stacks_.tmin) take_all(*stacks_.tmin, 0, -kHottest, kHottest, "-60 to 60 C", archive.tmin_c);
  if (stacks_.tmax) take_all(*stacks_.tmax, 0, -kHottest, kHottest, "-60 to 60 C", archive.tmax_c);
  if (stacks_.wet_days) take_all(*stacks_.wet_days, 0, 0, 31, "0 to 31 days a month", archive.wet_days);
  if (stacks_.tmin && stacks_.tmax) {
    Tally crossed;
    for (std::size_t i = 0; i < archive.tmin_c.size(); ++i)
      if (archive.tmin_c[i] > archive.tmax_c[i]) crossed.add(static_cast<int>(i / cells), static_cast<int>(i % cells), archive.tmin_c[i]);
    report(*stacks_.tmin, crossed, "tmin is above tmax", "check that the two rasters were not exchanged and carry the same dates");
  }
  for (const auto* stack : {&stacks_.wind, &stacks_.humidity, &stacks_.radiation, &stacks_.et0})
    if (*stack)
      log_.warning((*stack)->shown(), "", (*stack)->request().key + " is not used with monthly weather",
                   "leave it out, or give daily weather");
  return archive;
}

WeatherReading WeatherReader::read() {
  complete_.assign(cells_.size(), 1);
  WeatherReading out;
  if (stacks_.leader()->step() == Step::month)
    out.monthly = read_monthly();
  else
    out.daily = read_daily();
  out.complete = std::move(complete_);
  return out;
}

template <typename T>
void keep(const WeatherArchive& from, const WeatherValues<T>& values, const WeatherArchive& to, WeatherValues<T>& kept,
          const std::vector<int>& positions) {
  if (values.empty()) return;
  kept.resize(to.size());
  for (int day = 0; day < to.days; ++day)
    for (int cell = 0; cell < to.cells; ++cell)
      kept[to.at(day, cell)] = values[from.at(day, positions[static_cast<std::size_t>(cell)])];
}

template <typename T>
void keep(std::vector<T>& values, std::size_t cells, const std::vector<int>& positions) {
  if (values.empty() || positions.size() == cells) return;
  std::size_t to = 0;
  for (std::size_t from = 0; from < values.size(); from += cells)
    for (int p : positions) values[to++] = values[from + static_cast<std::size_t>(p)];
  values.resize(to);
  values.shrink_to_fit();
}

}  // namespace

Window window_of(const CellList& cells, const GridDefinition& grid) {
  if (cells.empty()) return {};
  int west = grid.columns, east = 0;
  for (int cell : cells) {
    west = std::min(west, cell % grid.columns);
    east = std::max(east, cell % grid.columns);
  }
  const int top = cells.front() / grid.columns, bottom = cells.back() / grid.columns;
  return {top, bottom - top + 1, west, east - west + 1};
}

WeatherReading read_weather(const WeatherStacks& stacks, const CellList& cells, Progress& progress, InputLog& log) {
  if (stacks.leader() == nullptr || cells.empty()) return {};
  return WeatherReader(stacks, cells, progress, log).read();
}

void keep_cells(WeatherReading& reading, const std::vector<int>& positions) {
  if (reading.daily && positions.size() != static_cast<std::size_t>(reading.daily->cells)) {
    WeatherArchive& a = *reading.daily;
    WeatherArchive b = a;
    b.cells = static_cast<int>(positions.size());
    keep(a, a.rain_cmm, b, b.rain_cmm, positions);
    keep(a, a.tmin_cc, b, b.tmin_cc, positions);
    keep(a, a.tmax_cc, b, b.tmax_cc, positions);
    for (auto other : {&WeatherArchive::wind_cms, &WeatherArchive::vapour_pa, &WeatherArchive::radiation_cmj, &WeatherArchive::et0_cmm})
      keep(a, a.*other, b, b.*other, positions);
    a = std::move(b);
  }
  if (reading.monthly) {
    MonthlyArchive& m = *reading.monthly;
    const auto cells = static_cast<std::size_t>(m.cells);
    for (auto* values : {&m.rain_mm, &m.tmin_c, &m.tmax_c, &m.wet_days}) keep(*values, cells, positions);
    m.cells = static_cast<int>(positions.size());
  }
}

}  // namespace rickyard
