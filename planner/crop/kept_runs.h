#pragma once
// Runs of the crop kept between runs of the program: each under a text of all that its records depend on.
#include <memory>
#include <string>
#include <vector>

#include "planner/base/cache.h"
#include "planner/crop/crop_run.h"
#include "planner/crop/crop_work.h"

namespace rickyard {

/// What the records of a run are made from, but for the run itself: land, weather, season, parameters, patch, known weather, kernel.
std::string made_from(const Growing& growing, const Season& season, const SeasonPatch& patch, const KnownWeather* known);
/// Ascending units as text.
std::string unit_ranges(const std::vector<int>& units);
/// The whole key of one run.
CacheKey key_of(const std::string& made_from, const CropRun& run);

/// Where one run's records are written: kept memory with its chunks, or plain memory.
class RunDraft {
 public:
  /// cache may be null.
  RunDraft(Cache* cache, const CacheKey& key, std::size_t units, std::size_t years);
  CropRecord* records() { return draft_ ? reinterpret_cast<CropRecord*>(draft_->bytes().data()) : own_.data(); }
  bool done(std::size_t chunk) const { return draft_ && draft_->done(chunk); }
  void mark_done(std::size_t chunk);
  /// All chunks are done.
  RecordSet finish();

 private:
  std::unique_ptr<CacheDraft> draft_;
  std::vector<CropRecord> own_;
};

/// A kept entry of this size, all checked; null where there is none, or it is damaged.
std::shared_ptr<const CacheEntry> whole_entry(Cache& cache, const CacheKey& key, std::size_t bytes);
/// The kept records of a run of this size, all checked; nullopt where there are none, or they are damaged.
std::optional<RecordSet> kept_records(Cache* cache, const CacheKey& key, std::size_t units, std::size_t years);

}  // namespace rickyard
