// The weather of a season: read into memory, or packed into the cache slab by slab, or found there.
#include "geo/weather.h"

#include <fmt/format.h>

#include <algorithm>
#include <system_error>
#include <utility>

#include "geo/kept_bytes.h"
#include "geo/weather_daily.h"
#include "geo/weather_packed.h"

namespace rickyard {
namespace {

std::vector<int> both(const std::vector<char>& wanted, std::size_t first, const std::vector<char>& complete) {
  std::vector<int> out;
  for (std::size_t i = 0; i < complete.size(); ++i)
    if (wanted[first + i] != 0 && complete[i] != 0) out.push_back(static_cast<int>(i));
  return out;
}

// "3 12+40 9": first cell, then for each run of cells the gap before it and its length.
std::string runs_text(const std::vector<int>& cells) {
  std::string out;
  for (std::size_t i = 0; i < cells.size();) {
    std::size_t n = 1;
    while (i + n < cells.size() && cells[i + n] == cells[i] + static_cast<int>(n)) ++n;
    out += fmt::format(" {}+{}", cells[i], n);
    i += n;
  }
  return out;
}

// Leaves only these cells.
WeatherArchive only(WeatherArchive from, const std::vector<int>& positions) {
  if (positions.size() == static_cast<std::size_t>(from.cells)) return from;
  WeatherArchive to = from;
  to.cells = static_cast<int>(positions.size());
  const auto keep = [&](auto array) {
    if ((from.*array).empty()) return;
    (to.*array).resize(to.size());
    for (int cell = 0; cell < to.cells; ++cell)
      for (int day = 0; day < to.days; ++day)
        (to.*array)[to.at(day, cell)] = std::as_const(from.*array)[from.at(day, positions[static_cast<std::size_t>(cell)])];
  };
  keep(&WeatherArchive::rain_cmm);
  keep(&WeatherArchive::tmin_cc);
  keep(&WeatherArchive::tmax_cc);
  for (auto other : {&WeatherArchive::wind_cms, &WeatherArchive::vapour_pa, &WeatherArchive::radiation_cmj, &WeatherArchive::et0_cmm})
    keep(other);
  return to;
}

class DailyWeather {
 public:
  DailyWeather(const WeatherStacks& stacks, const CellList& cells, const std::vector<char>& wanted, const std::string& made_from,
               const ReadingOptions& options, Progress& progress, InputLog& log)
      : reader_(stacks, cells, options, progress), cells_(cells), wanted_(wanted), options_(options), log_(log) {
    if (options.cache == nullptr || made_from.empty()) return;
    CellList in_archive;
    for (std::size_t i = 0; i < cells.size(); ++i)
      if (wanted[i] != 0) in_archive.push_back(cells[i]);
    if (in_archive.empty()) return;
    made_from_ = made_from + "cells" + runs_text(cells) + "\nof which may be kept" + runs_text(in_archive) + "\n";
    capacity_ = static_cast<int>(in_archive.size());
  }

  WeatherReading read() {
    WeatherReading out;
    if (made_from_.empty() || !(find(out) || pack(out))) read_into_memory(out);
    reader_.report(findings_, log_);
    out.complete = std::move(findings_.complete);
    return out;
  }

 private:
  void read_into_memory(WeatherReading& out) {
    // A season that is refused already needs no archive, and may have no room for one.
    if (log_.has_errors() && reader_.bytes_per_cell() * cells_.size() > options_.memory_bytes / 2) return look_through();
    WeatherArchive archive;
    findings_ = reader_.read(0, cells_.size(), archive);
    out.daily = only(std::move(archive), both(wanted_, 0, findings_.complete));
  }

  void look_through() {
    const auto cuts = reader_.slabs(options_.memory_bytes / 2);
    WeatherArchive slab;
    for (std::size_t s = 0; s + 1 < cuts.size(); ++s) findings_.append(reader_.read(cuts[s], cuts[s + 1] - cuts[s], slab));
  }

  // Which arrays there will be.
  PackedLayout layout() const {
    WeatherArchive some;
    for (const auto& variable : reader_.variables())
      if (variable.temperature != nullptr)
        (some.*variable.temperature).assign(1, 0);
      else
        (some.*variable.other).assign(1, 0);
    return {PackedLayout::arrays_of(some), capacity_, reader_.days().days};
  }

  CacheKey key() const { return {"weather", made_from_}; }
  CacheKey findings_key() const { return {"weather-findings", made_from_}; }
  CacheKey slab_key(std::size_t first, std::size_t end) const {
    return {"weather-slab", made_from_ + fmt::format("slab from {} to {}\n", first, end)};
  }

  bool find(WeatherReading& out) {
    const auto bytes = load_bytes(*options_.cache, findings_key());
    if (!bytes) return false;
    const auto entry = options_.cache->find(key());
    if (!entry || entry->bytes().size() != layout().bytes()) return false;
    try {
      ByteReader reader(*bytes);
      get(reader, findings_);
    } catch (const std::out_of_range&) {
      return false;
    }
    if (findings_.complete.size() != cells_.size()) return false;
    hand_over(entry, out);
    return true;
  }

  void hand_over(std::shared_ptr<const CacheEntry> entry, WeatherReading& out) {
    const PackedLayout in = layout();
    const int kept = static_cast<int>(both(wanted_, 0, findings_.complete).size());
    out.packed = {made_from_, capacity_, kept, in.days(), day_number(reader_.days().first_day), in.arrays()};
    out.daily = view_of(std::move(entry), in, kept, reader_.days().first_day);
  }

  // False where the cache cannot take the archive; what was read is then read again, into memory.
  bool pack(WeatherReading& out) {
    findings_ = {};
    try {
      const PackedLayout in = layout();
      const auto draft = options_.cache->create(key(), in.bytes(), in.part_bytes());
      if (!draft) return false;
      DraftPacker packer(*draft, in);
      pack_slabs(packer);
      if (!findings_.flawless()) return true;  // the season is refused; what was packed stays a draft
      packer.end();
      ByteWriter writer;
      put(writer, findings_);
      keep_bytes(*options_.cache, findings_key(), writer.bytes());
      hand_over(draft->finish(), out);
      return true;
    } catch (const std::system_error&) {  // a full disk, say
      findings_ = {};
      return false;
    }
  }

  void pack_slabs(DraftPacker& packer) {
    const auto cuts = reader_.slabs(options_.memory_bytes / 2);
    WeatherArchive slab;
    for (std::size_t s = 0; s + 1 < cuts.size(); ++s) {
      if (restore(packer, cuts[s], cuts[s + 1])) continue;
      const auto found = reader_.read(cuts[s], cuts[s + 1] - cuts[s], slab);
      findings_.append(found);
      if (!findings_.flawless()) continue;
      packer.append(slab, both(wanted_, cuts[s], found.complete));
      if (cuts.size() == 2) continue;  // of a single slab there is nothing to resume
      ByteWriter writer;
      put(writer, found);
      packer.save(writer);
      keep_bytes(*options_.cache, slab_key(cuts[s], cuts[s + 1]), writer.bytes());
    }
  }

  // A slab that an earlier, interrupted packing ended.
  bool restore(DraftPacker& packer, std::size_t first, std::size_t end) {
    if (end - first == cells_.size() || !findings_.flawless()) return false;
    const auto bytes = load_bytes(*options_.cache, slab_key(first, end));
    if (!bytes) return false;
    try {
      ByteReader reader(*bytes);
      WeatherFindings found;
      get(reader, found);
      if (found.complete.size() != end - first || !packer.restore(reader)) return false;
      findings_.append(found);
      reader_.skip(end - first);
      return true;
    } catch (const std::out_of_range&) {
      return false;
    }
  }

  DailyReader reader_;
  const CellList& cells_;
  const std::vector<char>& wanted_;
  const ReadingOptions& options_;
  InputLog& log_;
  std::string made_from_;
  int capacity_ = 0;
  WeatherFindings findings_;
};

}  // namespace

std::string cell_name(int cell, const GridDefinition& grid) {
  return fmt::format("row {}, column {}", cell / grid.columns + 1, cell % grid.columns + 1);
}

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

WeatherReading read_weather(const WeatherStacks& stacks, const CellList& cells, const std::vector<char>& wanted,
                            const std::string& made_from, const ReadingOptions& options, Progress& progress, InputLog& log) {
  if (stacks.leader() == nullptr || cells.empty()) return {};
  if (stacks.leader()->step() == Step::day) return DailyWeather(stacks, cells, wanted, made_from, options, progress, log).read();
  WeatherReading out;
  out.complete.assign(cells.size(), 1);
  out.monthly = read_monthly(stacks, cells, out.complete, progress, log);
  keep_cells(*out.monthly, both(wanted, 0, out.complete));
  return out;
}

std::optional<WeatherArchive> map_weather(Cache& cache, const PackedWeather& packed) {
  const PackedLayout layout(packed.arrays, packed.capacity, packed.days);
  const auto entry = cache.find({"weather", packed.made_from});
  if (!entry || entry->bytes().size() != layout.bytes()) return std::nullopt;
  return view_of(entry, layout, packed.cells, date_of(packed.first_day));
}

}  // namespace rickyard
