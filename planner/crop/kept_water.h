#pragma once
// The soil water that every season of a unit begins with, kept between runs of the program. It is the doing of the land's own crop, so
// that every run on the same units in the same weather begins with it, whatever is sown and when.
#include <memory>
#include <string>
#include <vector>

#include "planner/base/cache.h"
#include "planner/crop/crop_work.h"

namespace rickyard {

/// made_from: as of runs (kept_runs.h) with nothing known of a season in hand.
CacheKey water_key(const std::string& made_from, const std::vector<int>& units);

/// What is kept of one list of units, or is being noted to be kept.
class KeptWater {
 public:
  /// Keeps nothing.
  KeptWater() = default;
  /// note: where nothing is kept, what is worked out now shall be.
  KeptWater(Cache& cache, const CacheKey& key, std::size_t units, std::size_t seasons, bool note);

  /// For the work on these units; lives as long as this.
  SeasonWater water();
  void mark_done(std::size_t chunk);
  /// Keeps what was noted if every chunk was done by now.
  void finish();

 private:
  std::size_t chunks_ = 0;
  std::shared_ptr<const CacheEntry> entry_;
  std::unique_ptr<CacheDraft> draft_;
};

}  // namespace rickyard
