#pragma once
// What the daily crop model leaves behind for one land unit, harvest year and planned sowing date.
#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "planner/base/cache.h"
#include "planner/base/calendar.h"

namespace rickyard {

/// Day numbers count from the first day of the season (season_start of the year before harvest), 0-based;
/// -1 where the stage was not reached by season_end.
struct CropRecord {
  std::int16_t sown = -1, emerged = -1, stem_extension = -1, heading = -1, ripe = -1, harvested = -1;
  std::int16_t waterlogged_days = 0;     // emergence to heading
  std::int16_t frost_nights = 0;         // near heading
  std::int16_t combine_days = 0;         // fit for combining in the window after ripeness, the harvest day among them
  std::array<std::int16_t, 3> filler{};  // no byte is left to chance: records are kept with a checksum

  double relative_yield = 0;    // product of duration and all factors, before anchoring
  double duration = 0;          // light caught from emergence to ripeness, relative units
  double duration_planned = 0;  // the same for a crop sown on the planned date whatever the soil
  double water_factor = 1, waterlogging_factor = 1, heat_factor = 1, frost_factor = 1, sowing_factor = 1, harvest_factor = 1;  // 0..1

  double deficit_fill_mm = 0;     // largest potential deficit in the six weeks before ripeness (METHODS.md, "Depletion before ripeness")
  double heat_degree_days = 0;    // over the threshold, heading to ripe
  double drainage_winter_mm = 0;  // below full depth, October to March
  double wet_days_harvest = 0;    // rain days between ripeness and harvest
  double rain_harvest_mm = 0;     // rain between ripeness and harvest
  double grain_moisture_pct = 0;  // of the grain when harvested, wet basis; 0 for a crop that was not
  double rain_apr_jul_mm = 0;     // eighth to eleventh month of the season
  double rain_mm = 0;             // season_start .. season_end

  /// x of the dilution formula before its archive mean is taken off.
  double water_loss_share() const { return 1 - water_factor; }
};

/// Water of a whole season, season_start .. season_end: checks of the model, which enter nothing.
struct SeasonBalance {
  double et_mm = 0, runoff_mm = 0, drainage_mm = 0, storage_change_mm = 0;
  double deficit_oct1_mm = 0;                 // depletion of the full depth at the end of 1 October of the sowing winter
  std::int16_t field_capacity_regained = -1;  // first season day from 1 October with that depletion at most 5 mm
};

/// One request: land units simulated for one planned sowing date (month-day) and one part of a region's drilling.
struct CropRun {
  MonthDay planned;                                // date from which the first workable day counts
  std::vector<int> units;                          // ascending land unit indices
  int wait_days = 30;                              // days after `planned` on which the crop is sown whatever the soil
  double thermal_factor = 1;                       // multiplies the thermal time of every stage (variety)
  int drilled_after = 1;                           // sown on this workable day of drilling, counted from the day drilling starts
  std::optional<MonthDay> sown_on = std::nullopt;  // sown on this very date whatever the soil
};

/// Records of one run: its own, or those that are kept in mapped memory, which are never written.
class RecordSet {
 public:
  RecordSet() = default;
  explicit RecordSet(std::size_t n) : own_(n) {}
  explicit RecordSet(std::vector<CropRecord> records) : own_(std::move(records)) {}
  RecordSet(std::span<const CropRecord> kept, std::shared_ptr<const CacheEntry> entry) : kept_(kept), entry_(std::move(entry)) {}

  std::size_t size() const { return kept_.data() ? kept_.size() : own_.size(); }
  const CropRecord* begin() const { return kept_.data() ? kept_.data() : own_.data(); }
  const CropRecord* end() const { return begin() + size(); }
  const CropRecord& operator[](std::size_t i) const { return begin()[i]; }
  // Its own only.
  CropRecord& operator[](std::size_t i) { return own_[i]; }
  void push_back(const CropRecord& record) { own_.push_back(record); }

 private:
  std::vector<CropRecord> own_;
  std::span<const CropRecord> kept_;
  std::shared_ptr<const CacheEntry> entry_;
};

/// records: [run][place]; `place` is the one home of the order inside a run: [chunk of 256 units][year][unit of the chunk], so that a
/// chunk is a stretch of its own.
struct CropRecords {
  static constexpr std::size_t kChunk = 256;

  std::vector<CropRun> runs;
  std::vector<int> harvest_years;  // ascending
  std::vector<RecordSet> records;
  std::vector<std::vector<SeasonBalance>> balances;  // in the same order; only of the exact kernel, else empty

  static std::size_t place_of(std::size_t units, std::size_t years, std::size_t year, std::size_t k) {
    const std::size_t first = k / kChunk * kChunk, width = units - first < kChunk ? units - first : kChunk;
    return first * years + year * width + (k - first);
  }
  /// k: position in the run's units.
  std::size_t place(int run, int year, int k) const {
    return place_of(runs[static_cast<std::size_t>(run)].units.size(), harvest_years.size(), static_cast<std::size_t>(year),
                    static_cast<std::size_t>(k));
  }
  const CropRecord& at(int run, int year, int k) const { return records[static_cast<std::size_t>(run)][place(run, year, k)]; }
  const SeasonBalance& balance(int run, int year, int k) const { return balances[static_cast<std::size_t>(run)][place(run, year, k)]; }

  /// The same runs with these years alone (positions, ascending), the records their own.
  CropRecords with_years(const std::vector<std::size_t>& years) const;
};

}  // namespace rickyard
