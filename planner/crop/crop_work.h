#pragma once
// What all blocks of land units share while crops grow; for the two kernels of this room.
#include <algorithm>
#include <optional>
#include <vector>

#include "planner/crop/crop_record.h"
#include "planner/crop/crop_settings.h"
#include "planner/crop/field_season.h"
#include "planner/crop/splice.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/cell_days.h"

namespace rickyard {

inline constexpr std::size_t kLanes = 16;  // land units in a block

/// The soil water that each season of the archive begins with, and what the last one leaves: [place of (season, unit), as
/// CropRecords::place_of with a season more than there are].
struct SeasonWater {
  const SoilWater* kept = nullptr;  // known from an earlier run; null: the land's own crop has to be grown
  SoilWater* noted = nullptr;       // where to note it; may be null
};

/// Holds references: everything must outlive it.
struct CropWork {
  const Land& land;
  const Season& season;
  std::vector<CropRun> runs;  // all on the same units
  CropRun own;                // the land's own crop, which leaves the water that the next season begins with
  CropSettings settings;
  CellDayReader reader, reader_known;  // under the patch; as observed
  std::vector<SeasonWindow> windows;   // of the years that are kept
  std::optional<Splice> splice;
  std::size_t seasons = 0;  // whole ones in the archive; `windows` lack the season in hand
  std::vector<int> units;   // of every run here, ascending
  SeasonWater water = {};   // of these units, with start = previous_year

  bool run_on() const { return season.start == SeasonStart::previous_year; }
  FieldPlan plan(const CropRun& run, int harvest_year) const {
    return {season_day(season, harvest_year, run.planned), run.wait_days, run.thermal_factor, run.drilled_after,
            run.sown_on ? season_day(season, harvest_year, *run.sown_on) : -1};
  }
  std::vector<int> block(std::size_t index) const {
    const auto first = units.begin() + static_cast<std::ptrdiff_t>(index * kLanes);
    return {first, units.begin() + static_cast<std::ptrdiff_t>(std::min((index + 1) * kLanes, units.size()))};
  }
  SoilColumn column(int unit) const {
    return make_column(land.soils[static_cast<std::size_t>(land.units[static_cast<std::size_t>(unit)].soil)], settings.water,
                       settings.sowing);
  }
};

/// Without runs and units yet. planned: of all runs, for they settle which years are grown. known: as in run_crop (crop_run.h).
CropWork shared_work(const Land& land, const WeatherArchive& archive, const std::vector<MonthDay>& planned, const Season& season,
                     const SeasonPatch& patch, const KnownWeather* known);

/// Where the figures of a run go: [place], see CropRecords; balances null where they are not asked for.
struct CropSink {
  CropRecord* records = nullptr;
  SeasonBalance* balances = nullptr;
};

/// The scalar kernel that defines the answer, in double precision, for one block of units. sinks: [run of the work].
void grow_block_exactly(const CropWork& work, std::size_t block, const std::vector<CropSink>& sinks);

}  // namespace rickyard
