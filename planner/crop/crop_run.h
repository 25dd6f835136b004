#pragma once
// The daily crop model over an archive: land units x harvest years x planned sowing dates.
#include <atomic>
#include <string>

#include "planner/base/cache.h"
#include "planner/base/progress.h"
#include "planner/crop/crop_crew.h"
#include "planner/crop/crop_record.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"
#include "planner/weather/known_weather.h"

namespace rickyard {

/// exact: the scalar double-precision code that defines the answer. fast: blocks of 16 land units side by side; the same dates and counts,
/// other figures within 1e-6 of it relative to the larger of the two and 1 (METHODS.md, "Fast kernel").
enum class CropKernel { fast, exact };

/// What was grown and what was found kept, in chunks of 256 units of one run.
struct GrowthTally {
  std::atomic<long long> grown{0}, kept{0};
};

/// How crops are grown; no figure depends on it, but for the kernel.
struct Growing {
  int threads = 0;               // 0 = all cores
  Progress* progress = nullptr;  // may be null
  CropKernel kernel = CropKernel::fast;
  Cache* cache = nullptr;          // records of runs that are kept between runs of the program; may be null
  std::string land_and_weather{};  // with a cache: a text that says all that land and archive are made from
  CropCrew* crew = nullptr;        // other processes; may be null
  int draw = 0;                    // of the daily rain, for the crew
  GrowthTally* tally = nullptr;    // may be null
  /// The same without a word of progress.
  Growing quietly() const {
    Growing other = *this;
    other.progress = nullptr;
    return other;
  }
};

/// Simulates every run on its units for every harvest year of the archive (season_windows.h); METHODS.md, "Crop".
/// patch: rain_factor and temperature_shift_c change the quantised weather; planned dates are taken from `runs` as they are.
/// known: the season in hand takes no part as a past year; its known weather stands in front of the remainder of every past season, as it
/// was observed (no patch), and its soil water at the beginning in place of theirs; METHODS.md, "The season in hand".
/// The figures of a run do not depend on the other runs. The same bits for any number of threads and any instruction set. InputError where
/// the archive holds no whole season, or a day is missing in a cell that is used (cell and date named).
/// With a cache every run is kept under what it depends on, in chunks of 256 units: a run that is kept is not simulated, and one that was
/// interrupted goes on with the chunks that are missing.
CropRecords run_crop(const Land& land, const WeatherArchive& archive, const std::vector<CropRun>& runs, const Season& season,
                     const SeasonPatch& patch, const Growing& growing, const KnownWeather* known = nullptr);

/// The same by the exact kernel.
CropRecords run_crop(const Land& land, const WeatherArchive& archive, const std::vector<CropRun>& runs, const Season& season,
                     const SeasonPatch& patch, int threads, Progress* progress, const KnownWeather* known = nullptr);

}  // namespace rickyard
