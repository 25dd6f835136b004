// Monthly weather: kept as numbers, not quantised.
#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

#include <fmt/format.h>

#include "geo/weather.h"
#include "geo/weather_findings.h"

namespace rickyard {
namespace {

constexpr double kHottest = 60;  // C; the coldest is its negative

class MonthlyReader {
 public:
  MonthlyReader(const WeatherStacks& stacks, const CellList& cells, std::vector<char>& complete, Progress& progress, InputLog& log)
      : stacks_(stacks), cells_(cells), grid_(stacks.leader()->grid()), complete_(complete), progress_(progress), log_(log) {}
  MonthlyArchive read();

 private:
  /// A stack's values and the bounds within which they are taken.
  struct Bounds {
    double shift, lowest, highest;
    const char* words;
  };
  void take(const std::optional<RasterStack>& stack, const Bounds& bounds, std::vector<double>& out);
  void read_values(const RasterStack& stack, const Bounds& bounds, std::vector<double>& out, Tally& wild);
  void mark_gaps(const RasterStack& stack, const std::vector<double>& values, bool flawless);
  void check_order(const MonthlyArchive& archive);
  void report(const RasterStack& stack, const Tally& tally, const std::string& what, const std::string& remedy);
  std::string place(int position) const { return cell_name(cells_[static_cast<std::size_t>(position)], grid_); }

  const WeatherStacks& stacks_;
  const CellList& cells_;
  const GridDefinition& grid_;
  std::vector<char>& complete_;
  Progress& progress_;
  InputLog& log_;
};

void MonthlyReader::report(const RasterStack& stack, const Tally& tally, const std::string& what, const std::string& remedy) {
  if (tally.count == 0) return;
  const std::string more = tally.count > 1 ? fmt::format(" ({} values in all)", tally.count) : "";
  log_.error(stack.band_name(tally.band), fmt::format("{:.6g}", tally.value), what + " at " + place(tally.cell) + more, remedy);
}

void MonthlyReader::read_values(const RasterStack& stack, const Bounds& bounds, std::vector<double>& out, Tally& wild) {
  const bool rain = stack.request().quantity == Quantity::rain;
  stack.read(window_of(cells_, grid_), [&](const Tile& tile) {
    for (int r = 0; r < tile.rows; ++r) {
      const int west = (tile.row + r) * grid_.columns + tile.column;
      const auto first = std::lower_bound(cells_.begin(), cells_.end(), west),
                 last = std::lower_bound(first, cells_.end(), west + tile.columns);
      for (int b = 0; b < tile.bands; ++b) {
        const double* line =
            tile.values + static_cast<std::size_t>(b) * tile.plane() + static_cast<std::size_t>(r) * static_cast<std::size_t>(tile.columns);
        for (auto cell = first; cell != last; ++cell) {
          const double value = line[*cell - west];
          const int month = tile.band + b, position = static_cast<int>(cell - cells_.begin());
          if (std::isnan(value)) continue;
          if (!(value + bounds.shift >= bounds.lowest && value + bounds.shift <= bounds.highest)) {
            wild.add(month, position, value);
            continue;
          }
          out[static_cast<std::size_t>(month) * cells_.size() + static_cast<std::size_t>(position)] =
              rain ? std::max(value, 0.0) : value + bounds.shift;
        }
      }
    }
    progress_.step(tile.band + tile.bands, stack.bands());
  });
}

void MonthlyReader::take(const std::optional<RasterStack>& stack, const Bounds& bounds, std::vector<double>& out) {
  if (!stack) return;
  Tally wild;
  bool failed = false;
  out.assign(static_cast<std::size_t>(stack->bands()) * cells_.size(), std::numeric_limits<double>::quiet_NaN());
  try {
    read_values(*stack, bounds, out, wild);
  } catch (const ReadFailure& failure) {
    log_.add(failure.problem);
    failed = true;
  }
  const std::string& key = stack->request().key;
  report(*stack, wild, key + " is outside " + bounds.words,
         "where this stands for a missing value, state fill in [rasters." + key + "]; otherwise check the unit");
  // A month whose wet days are not known gets them from its rain.
  if (stack->request().quantity != Quantity::wet_days) mark_gaps(*stack, out, !failed && wild.count == 0);
}

// A cell that lacks a value in some month counts as having no weather; one with gaps in some months only is worth a word.
void MonthlyReader::mark_gaps(const RasterStack& stack, const std::vector<double>& values, bool flawless) {
  Gaps gaps;
  for (std::size_t cell = 0; cell < cells_.size(); ++cell) {
    int count = 0, first = -1;
    for (int month = 0; month < stack.bands(); ++month)
      if (std::isnan(values[static_cast<std::size_t>(month) * cells_.size() + cell]) && count++ == 0) first = month;
    if (count == 0) continue;
    complete_[cell] = 0;
    if (count < stack.bands()) gaps.add(first, static_cast<int>(cell));
  }
  // Where values were refused the error has said enough.
  if (gaps.cells > 0 && flawless)
    log_.warning(stack.band_name(gaps.band), "",
                 fmt::format("{} has gaps in {} cell{}, the first at {}", stack.request().key, gaps.cells, gaps.cells == 1 ? "" : "s",
                             place(gaps.cell)),
                 "such cells count as having no weather; fill the gaps to use them");
}

void MonthlyReader::check_order(const MonthlyArchive& archive) {
  Tally crossed;
  for (std::size_t i = 0; i < archive.tmin_c.size(); ++i)
    if (archive.tmin_c[i] > archive.tmax_c[i])
      crossed.add(static_cast<int>(i / cells_.size()), static_cast<int>(i % cells_.size()), archive.tmin_c[i]);
  report(*stacks_.tmin, crossed, "tmin is above tmax", "check that the two rasters were not exchanged and carry the same dates");
}

MonthlyArchive MonthlyReader::read() {
  const RasterStack& leader = *stacks_.leader();
  MonthlyArchive archive;
  archive.cells = static_cast<int>(cells_.size());
  archive.months = leader.bands();
  archive.first_month = {leader.dates().front().year, leader.dates().front().month};
  const double h = stacks_.half_range_c;
  const auto degrees = [](double shift) { return Bounds{shift, -kHottest, kHottest, "-60 to 60 C"}; };
  take(stacks_.rain, {0, -0.005, 10000, "0 to 10,000 mm a month"}, archive.rain_mm);
  take(stacks_.tmean, degrees(-h), archive.tmin_c);
  take(stacks_.tmean, degrees(h), archive.tmax_c);
  take(stacks_.tmin, degrees(0), archive.tmin_c);
  take(stacks_.tmax, degrees(0), archive.tmax_c);
  take(stacks_.wet_days, {0, 0, 31, "0 to 31 days a month"}, archive.wet_days);
  if (stacks_.tmin && stacks_.tmax) check_order(archive);
  for (const auto* stack : {&stacks_.wind, &stacks_.humidity, &stacks_.radiation, &stacks_.et0})
    if (*stack)
      log_.warning((*stack)->shown(), "", (*stack)->request().key + " is not used with monthly weather",
                   "leave it out, or give daily weather");
  return archive;
}

}  // namespace

MonthlyArchive read_monthly(const WeatherStacks& stacks, const CellList& cells, std::vector<char>& complete, Progress& progress,
                            InputLog& log) {
  return MonthlyReader(stacks, cells, complete, progress, log).read();
}

void keep_cells(MonthlyArchive& archive, const std::vector<int>& positions) {
  const auto cells = static_cast<std::size_t>(archive.cells);
  for (auto* values : {&archive.rain_mm, &archive.tmin_c, &archive.tmax_c, &archive.wet_days}) {
    if (values->empty() || positions.size() == cells) continue;
    std::size_t to = 0;
    for (std::size_t from = 0; from < values->size(); from += cells)
      for (int p : positions) (*values)[to++] = (*values)[from + static_cast<std::size_t>(p)];
    values->resize(to);
    values->shrink_to_fit();
  }
  archive.cells = static_cast<int>(positions.size());
}

}  // namespace rickyard
