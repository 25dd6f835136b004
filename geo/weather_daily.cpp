#include "geo/weather_daily.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <mutex>
#include <thread>
#include <utility>

#include "planner/base/blocks.h"

namespace rickyard {
namespace {

constexpr double kHottest = 60;  // C; the coldest is its negative
constexpr int kLanes = WeatherArchive::kBlockCells;
// The outermost doubles whose hundredfold rounds to 0 and to 65534, halves away from zero.
const double kLeastRain = std::nextafter(-0.005, 0), kMostRain = std::nextafter(655.345, 0);

using Kind = DailyVariable::Kind;

std::string number(double value) { return fmt::format("{:.6g}", value); }

std::vector<DailyVariable> variables_of(const WeatherStacks& s) {
  using A = WeatherArchive;
  std::vector<DailyVariable> out;
  if (s.rain) out.push_back({Kind::rain, &*s.rain, {0, 100, kLeastRain, kMostRain}, nullptr, &A::rain_cmm});
  const auto temperature = [&](const std::optional<RasterStack>& stack, double shift, WeatherValues<std::int16_t> A::*array) {
    if (stack) out.push_back({Kind::temperature, &*stack, {shift, 100, -kHottest, kHottest}, array, nullptr});
  };
  temperature(s.tmin, 0, &A::tmin_cc);
  temperature(s.tmax, 0, &A::tmax_cc);
  temperature(s.tmean, -s.half_range_c, &A::tmin_cc);
  temperature(s.tmean, s.half_range_c, &A::tmax_cc);
  const auto other = [&](const std::optional<RasterStack>& stack, double factor, double highest, WeatherValues<std::uint16_t> A::*array) {
    if (stack) out.push_back({Kind::other, &*stack, {0, factor, 0, highest}, nullptr, array});
  };
  other(s.wind, 100, 100, &A::wind_cms);
  if (s.humidity && !s.humidity->unit().relative)
    other(s.humidity, 1000, 10, &A::vapour_pa);
  else if (s.humidity && (s.tmin || s.tmean) && (s.tmax || s.tmean))
    out.push_back({Kind::relative_humidity, &*s.humidity, {0, 1000, 0, 1.05}, nullptr, &A::vapour_pa});
  other(s.radiation, 100, 60, &A::radiation_cmj);
  other(s.et0, 100, 50, &A::et0_cmm);
  return out;
}

/// Cells of one row of a tile that lie side by side in the file and in one block of the archive.
struct Piece {
  std::size_t in = 0;  // place in a plane of the tile
  int lanes = 0;
  int cell = 0;  // in the slab
};

std::vector<Piece> pieces_of(const TileShape& tile, const CellList& slab, int grid_columns) {
  std::vector<Piece> out;
  for (int r = 0; r < tile.rows; ++r) {
    const long long west = static_cast<long long>(tile.row + r) * grid_columns + tile.column;
    const auto first = std::lower_bound(slab.begin(), slab.end(), west), last = std::lower_bound(first, slab.end(), west + tile.columns);
    for (auto cell = first; cell != last;) {
      const int position = static_cast<int>(cell - slab.begin());
      int lanes = 1;
      while (cell + lanes != last && *(cell + lanes) == *cell + lanes && (position + lanes) % kLanes != 0) ++lanes;
      out.push_back(
          {static_cast<std::size_t>(r) * static_cast<std::size_t>(tile.columns) + static_cast<std::size_t>(*cell - west), lanes, position});
      cell += lanes;
    }
  }
  return out;
}

/// Packs tiles of one variable.
class Packer {
 public:
  Packer(const DailyVariable& variable, const RealDays& days, WeatherArchive& into) : variable_(variable), days_(days), into_(into) {}

  void pack(const StoredTile& tile, const std::vector<Piece>& pieces, VariableFindings& findings) {
    if (variable_.kind == Kind::relative_humidity)
      each_band(tile, pieces, [&](int band, const Piece& piece, const double* values) { pack_humidity(band, piece, values, findings); });
    else if (variable_.temperature != nullptr)
      pack_into((into_.*variable_.temperature).begin(), WeatherArchive::kMissingTemperature, tile, pieces, findings);
    else  // missing rain and anything else missing are one number
      pack_into((into_.*variable_.other).begin(), WeatherArchive::kMissingOther, tile, pieces, findings);
  }

 private:
  template <typename Take>
  void each_band(const StoredTile& tile, const std::vector<Piece>& pieces, const Take& take) const {
    std::array<double, kLanes> values;
    const std::size_t plane = tile.plane();
    for (const auto& piece : pieces)
      for (std::size_t b = 0; b < tile.conversions.size(); ++b) {
        tile.convert(tile.values + (b * plane + piece.in) * tile.value_bytes, static_cast<std::size_t>(piece.lanes), tile.conversions[b],
                     values.data());
        take(tile.band + static_cast<int>(b), piece, values.data());
      }
  }

  template <typename T>
  void pack_into(T* array, T missing, const StoredTile& tile, const std::vector<Piece>& pieces, VariableFindings& findings) {
    const bool rain = variable_.kind == Kind::rain;
    each_band(tile, pieces, [&](int band, const Piece& piece, const double* values) {
      const auto b = static_cast<std::size_t>(band);
      T* out = array + into_.at(days_.start[b], piece.cell);
      if (!quantise(values, piece.lanes, variable_.rule, missing, out)) tally(band, piece, values, findings);
      // Further real days of a model day take its temperatures and no rain.
      const std::size_t stride = into_.stride(piece.cell);
      for (int k = 1; k < days_.count[b]; ++k)
        for (int i = 0; i < piece.lanes; ++i)
          out[static_cast<std::size_t>(k) * stride + static_cast<std::size_t>(i)] = rain && out[i] != missing ? T{0} : out[i];
    });
  }

  // Relative humidity is turned into vapour pressure by FAO-56 equation 19, ea = RH (e0(tmin) + e0(tmax)) / 2, from the quantised
  // temperatures.
  void pack_humidity(int band, const Piece& piece, const double* values, VariableFindings& findings) {
    const auto e0 = [](double c) { return 0.6108 * std::exp(17.27 * c / (c + 237.3)); };
    const auto b = static_cast<std::size_t>(band);
    bool refused = false;
    for (int i = 0; i < piece.lanes; ++i) {
      const double found = values[i];
      if (std::isnan(found)) continue;
      if (!(found >= variable_.rule.lowest && found <= variable_.rule.highest)) {
        refused = true;
        continue;
      }
      for (int k = 0; k < days_.count[b]; ++k) {
        const auto at = into_.at(days_.start[b] + k, piece.cell + i);
        const auto low = std::as_const(into_).tmin_cc[at], high = std::as_const(into_).tmax_cc[at];
        if (low == WeatherArchive::kMissingTemperature || high == WeatherArchive::kMissingTemperature) continue;
        const double value = std::min(found, 1.0) * (e0(low * 0.01) + e0(high * 0.01)) / 2;
        into_.vapour_pa[at] = static_cast<std::uint16_t>(std::round(value * variable_.rule.factor));
      }
    }
    if (refused) tally(band, piece, values, findings);
  }

  void tally(int band, const Piece& piece, const double* values, VariableFindings& findings) const {
    for (int i = 0; i < piece.lanes; ++i) {
      if (values[i] + variable_.rule.shift < variable_.rule.lowest) findings.low.add(band, piece.cell + i, values[i]);
      if (values[i] + variable_.rule.shift > variable_.rule.highest) findings.high.add(band, piece.cell + i, values[i]);
    }
  }

  const DailyVariable& variable_;
  const RealDays& days_;
  WeatherArchive& into_;
};

// Cells of the archive's block, and its place in the arrays.
struct Block {
  int first = 0, cells = 0;
  std::size_t from = 0, to = 0;
};
Block block_of(const WeatherArchive& archive, int block) {
  const int first = block * kLanes, cells = std::min(kLanes, archive.cells - first);
  const std::size_t from = archive.at(0, first);
  return {first, cells, from, from + static_cast<std::size_t>(cells) * static_cast<std::size_t>(archive.days)};
}
int blocks_in(const WeatherArchive& archive) { return (archive.cells + kLanes - 1) / kLanes; }

// How many bands a cell lacks, and the first.
struct CellGaps {
  int count = 0, first = -1;
};

template <typename T>
void find_gaps(const WeatherArchive& archive, const WeatherValues<T>& values, T missing, const RealDays& days, int threads,
               std::vector<CellGaps>& gaps) {
  for_each_block(blocks_in(archive), threads, [&](int b) {
    const Block block = block_of(archive, b);
    if (std::find(values.begin() + block.from, values.begin() + block.to, missing) == values.begin() + block.to) return;
    for (int cell = block.first; cell < block.first + block.cells; ++cell)
      for (std::size_t band = 0; band < days.start.size(); ++band) {
        if (values[archive.at(days.start[band], cell)] != missing) continue;
        auto& found = gaps[static_cast<std::size_t>(cell)];
        if (found.count++ == 0) found.first = static_cast<int>(band);
      }
  });
}

}  // namespace

DailyReader::DailyReader(const WeatherStacks& stacks, const CellList& cells, const ReadingOptions& options, Progress& progress)
    : cells_(cells), grid_(stacks.leader()->grid()), options_(options), progress_(progress), variables_(variables_of(stacks)) {
  const RasterStack& leader = *stacks.leader();
  days_ = real_days(leader.calendar(), day_index(leader.calendar(), leader.dates().front()), leader.bands());
  both_extremes_ = stacks.tmin && stacks.tmax;
  failed_.assign(variables_.size(), 0);
}

std::size_t DailyReader::bytes_per_cell() const { return variables_.size() * static_cast<std::size_t>(days_.days) * sizeof(std::uint16_t); }

std::vector<std::size_t> DailyReader::slabs(std::size_t bytes) const {
  const std::size_t most = std::max<std::size_t>(1, bytes / std::max<std::size_t>(1, bytes_per_cell()));
  std::vector<std::size_t> cuts = {0};
  int block_rows = 1, first_block_row = 0;
  if (!variables_.empty()) {
    block_rows = variables_.front().stack->block_rows();
    first_block_row = variables_.front().stack->first_block_row();
  }
  const auto row_of = [&](std::size_t cell) { return cells_[cell] / grid_.columns; };
  while (cells_.size() - cuts.back() > most) {
    const std::size_t first = cuts.back(), end = first + most;
    const int row = row_of(end);
    const int block_row = row - ((row - first_block_row) % block_rows + block_rows) % block_rows;
    std::size_t cut = end;
    for (const int start : {row, block_row}) {  // the better cut last
      const auto at = std::lower_bound(cells_.begin(), cells_.end(), start * grid_.columns) - cells_.begin();
      if (static_cast<std::size_t>(at) > first) cut = static_cast<std::size_t>(at);
    }
    cuts.push_back(cut);
  }
  cuts.push_back(cells_.size());
  return cuts;
}

// So that the tiles of all threads take a quarter of the bound.
long long DailyReader::tile_values() const {
  const int cores = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
  const auto tiles = static_cast<std::size_t>((options_.threads > 0 ? options_.threads : cores) + 1);
  return std::clamp<long long>(static_cast<long long>(options_.memory_bytes / 4 / tiles / sizeof(double)), 1, kTileValues);
}

void DailyReader::skip(std::size_t count) {
  steps_ += static_cast<long long>(variables_.size() * count);
  progress_.step(steps_, static_cast<long long>(variables_.size() * cells_.size()));
}

void DailyReader::read_variable(std::size_t v, const CellList& slab, WeatherArchive& into, VariableFindings& findings) {
  const DailyVariable& variable = variables_[v];
  if (variable.temperature != nullptr)
    (into.*variable.temperature).assign(into.size(), WeatherArchive::kMissingTemperature);
  else
    (into.*variable.other).assign(into.size(), WeatherArchive::kMissingOther);
  if (failed_[v] != 0) return;
  TileReading reading;
  reading.threads = options_.threads;
  reading.tile_values = tile_values();
  std::mutex mutex;
  Packer packer(variable, days_, into);
  const auto all = static_cast<long long>(variables_.size() * cells_.size()), here = static_cast<long long>(slab.size());
  try {
    variable.stack->each_tile(window_of(slab, grid_), reading, [&](const StoredTile& tile, long long done, long long total) {
      VariableFindings found;
      packer.pack(tile, pieces_of(tile, slab, grid_.columns), found);
      const std::lock_guard lock(mutex);
      findings.merge(found);
      progress_.step(steps_ + here * done / total, all);
    });
  } catch (const ReadFailure& failure) {
    findings.failure = failure.problem;
    failed_[v] = 1;
  }
  steps_ += here;
  progress_.step(steps_, all);
}

// A cell that lacks a value on some day counts as having no weather; one with gaps on some days only is worth a word.
void DailyReader::mark_gaps(const DailyVariable& variable, const WeatherArchive& archive, VariableFindings& findings,
                            std::vector<char>& complete) const {
  std::vector<CellGaps> gaps(complete.size());
  if (variable.temperature != nullptr)
    find_gaps(archive, archive.*variable.temperature, WeatherArchive::kMissingTemperature, days_, options_.threads, gaps);
  else
    find_gaps(archive, archive.*variable.other, WeatherArchive::kMissingRain, days_, options_.threads, gaps);
  for (std::size_t cell = 0; cell < gaps.size(); ++cell) {
    if (gaps[cell].count == 0) continue;
    complete[cell] = 0;
    if (gaps[cell].count < static_cast<int>(days_.start.size())) findings.gaps.add(gaps[cell].first, static_cast<int>(cell));
  }
}

Tally DailyReader::find_crossed(const WeatherArchive& archive) const {
  Tally crossed;
  std::mutex mutex;
  const std::int16_t *low = archive.tmin_cc.data(), *high = archive.tmax_cc.data();
  constexpr auto kMissing = WeatherArchive::kMissingTemperature;  // the least of all numbers
  for_each_block(blocks_in(archive), options_.threads, [&](int b) {
    const Block block = block_of(archive, b);
    int any = 0;
    for (std::size_t i = block.from; i < block.to; ++i) any |= static_cast<int>((low[i] > high[i]) & (high[i] != kMissing));
    if (any == 0) return;
    Tally found;
    for (std::size_t band = 0; band < days_.start.size(); ++band)
      for (int cell = block.first; cell < block.first + block.cells; ++cell) {
        const auto at = archive.at(days_.start[band], cell);
        if (low[at] > high[at] && high[at] != kMissing) found.add(static_cast<int>(band), cell, low[at] * 0.01, high[at] * 0.01);
      }
    const std::lock_guard lock(mutex);
    crossed.merge(found);
  });
  return crossed;
}

WeatherFindings DailyReader::read(std::size_t first, std::size_t count, WeatherArchive& into) {
  const CellList slab(cells_.begin() + static_cast<std::ptrdiff_t>(first), cells_.begin() + static_cast<std::ptrdiff_t>(first + count));
  into.cells = static_cast<int>(count);
  into.days = days_.days;
  into.first_day = days_.first_day;
  WeatherFindings out;
  out.complete.assign(count, 1);
  out.variables.resize(variables_.size());
  for (std::size_t v = 0; v < variables_.size(); ++v) {
    read_variable(v, slab, into, out.variables[v]);
    if (variables_[v].required()) mark_gaps(variables_[v], into, out.variables[v], out.complete);
  }
  if (both_extremes_) out.crossed = find_crossed(into);
  // Places count through the whole list.
  const int from = static_cast<int>(first);
  out.crossed.cell += from;
  for (auto& v : out.variables) {
    v.low.cell += from;
    v.high.cell += from;
    v.gaps.cell += from;
  }
  return out;
}

void DailyReader::report_tally(const RasterStack& stack, const Tally& tally, const std::string& what, const std::string& remedy,
                               InputLog& log) const {
  if (tally.count == 0) return;
  const std::string more = tally.count > 1 ? fmt::format(" ({} values in all)", tally.count) : "";
  log.error(stack.band_name(tally.band), number(tally.value),
            what + " at " + cell_name(cells_[static_cast<std::size_t>(tally.cell)], grid_) + more, remedy);
}

void DailyReader::report_refused(const DailyVariable& variable, const VariableFindings& findings, InputLog& log) const {
  const RasterStack& stack = *variable.stack;
  const std::string& key = stack.request().key;
  const std::string fill = "where this stands for a missing value, state fill in [rasters." + key + "]";
  if (variable.kind == Kind::rain) {
    report_tally(stack, findings.low, "rain is negative", fill, log);
    report_tally(stack, findings.high, "rain is over 655.34 mm in a day", fill + "; otherwise check the unit", log);
    return;
  }
  Tally wild = findings.low;
  wild.merge(findings.high);
  const std::string bounds = variable.kind == Kind::temperature         ? "-60 to 60 C"
                             : variable.kind == Kind::relative_humidity ? "0 to 105 %"
                                                                        : fmt::format("0 to {:g}", variable.rule.highest);
  report_tally(stack, wild, key + " is outside " + bounds, fill + "; otherwise check the unit", log);
}

void DailyReader::report(const WeatherFindings& findings, InputLog& log) const {
  const auto report_crossed = [&] {
    for (const auto& variable : variables_)
      if (variable.temperature == &WeatherArchive::tmin_cc)
        report_tally(*variable.stack, findings.crossed, fmt::format("tmin is above tmax ({})", number(findings.crossed.other)),
                     "check that the two rasters were not exchanged and carry the same dates", log);
  };
  bool extremes_told = false;
  for (std::size_t v = 0; v < variables_.size(); ++v) {
    const DailyVariable& variable = variables_[v];
    if (!variable.required() && !extremes_told) {
      report_crossed();
      extremes_told = true;
    }
    const VariableFindings& found = findings.variables[v];
    if (found.failure) log.add(*found.failure);
    report_refused(variable, found, log);
    // Where values were refused the error has said enough.
    const Gaps& gaps = found.gaps;
    if (gaps.cells > 0 && found.flawless())
      log.warning(variable.stack->band_name(gaps.band), "",
                  fmt::format("{} has gaps in {} cell{}, the first at {}", variable.stack->request().key, gaps.cells,
                              gaps.cells == 1 ? "" : "s", cell_name(cells_[static_cast<std::size_t>(gaps.cell)], grid_)),
                  "such cells count as having no weather; fill the gaps to use them");
  }
  if (!extremes_told) report_crossed();
}

}  // namespace rickyard
