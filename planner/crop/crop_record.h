#pragma once
// What the daily crop model leaves behind for one land unit, harvest year and planned sowing date.
#include <cstdint>
#include <optional>
#include <vector>

#include "planner/base/calendar.h"

namespace rickyard {

/// Day numbers count from the first day of the season (season_start of the year before harvest), 0-based;
/// -1 where the stage was not reached by season_end.
struct CropRecord {
  std::int16_t sown = -1, emerged = -1, stem_extension = -1, heading = -1, ripe = -1, harvested = -1;
  std::int16_t waterlogged_days = 0;  // emergence to heading
  std::int16_t frost_nights = 0;      // near heading
  std::int16_t combine_days = 0;      // fit for combining in the window after ripeness, the harvest day among them

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

/// records: [run][year][k], k = position in the run's units, fastest.
struct CropRecords {
  std::vector<CropRun> runs;
  std::vector<int> harvest_years;  // ascending
  std::vector<std::vector<CropRecord>> records;
  std::vector<std::vector<SeasonBalance>> balances;  // in the same order; only of the exact kernel, else empty

  std::size_t place(int run, int year, int k) const {
    return static_cast<std::size_t>(year) * runs[static_cast<std::size_t>(run)].units.size() + static_cast<std::size_t>(k);
  }
  const CropRecord& at(int run, int year, int k) const { return records[static_cast<std::size_t>(run)][place(run, year, k)]; }
  const SeasonBalance& balance(int run, int year, int k) const { return balances[static_cast<std::size_t>(run)][place(run, year, k)]; }
};

}  // namespace rickyard
