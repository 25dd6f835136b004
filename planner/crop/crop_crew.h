#pragma once
// Crops grown by other processes. What is sent is an order; chunks of it may be grown anywhere that holds the same land, weather and
// season.
#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "planner/crop/crop_record.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"
#include "planner/weather/known_weather.h"

namespace rickyard {

/// Up to 256 units of a team of runs.
struct CropChunk {
  std::size_t team = 0;   // of the order
  std::size_t index = 0;  // units 256 index .. 256 index + 255 of the team's
};

/// What a call of run_crop wants grown. Of the patch only what changes weather counts.
struct CropOrder {
  int draw = 0;                             // of the daily rain, where it was drawn
  std::vector<MonthDay> planned;            // of all runs of the call: they settle which years are grown
  std::vector<std::vector<CropRun>> teams;  // runs on the same units
  SeasonPatch patch;
  std::optional<KnownWeather> known;
};

/// Grows chunks of one order by the fast kernel. Holds references: everything must outlive it.
class ChunkGrower {
 public:
  /// Errors as run_crop.
  ChunkGrower(const Land& land, const WeatherArchive& archive, const Season& season, const CropOrder& order);
  ~ChunkGrower();
  /// [run of the team][year][unit of the chunk]
  std::vector<CropRecord> grow(const CropChunk& chunk, int threads) const;

 private:
  struct Shared;
  std::unique_ptr<const Shared> shared_;
};

/// Other processes that grow chunks.
class CropCrew {
 public:
  virtual ~CropCrew() = default;
  /// Has all chunks grown, some of them by `here`, in this process. take(position in chunks, records as ChunkGrower::grow returns them) is
  /// called once for each, in any order, never twice at once. Throws what a chunk threw.
  virtual void grow(const CropOrder& order, const std::vector<CropChunk>& chunks, const ChunkGrower& here, int threads,
                    const std::function<void(std::size_t, std::vector<CropRecord>)>& take) = 0;
};

}  // namespace rickyard
