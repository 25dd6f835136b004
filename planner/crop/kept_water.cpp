#include "planner/crop/kept_water.h"

#include <type_traits>

#include "planner/crop/kept_runs.h"

namespace rickyard {

static_assert(std::is_trivially_copyable_v<SoilWater>);

CacheKey water_key(const std::string& made_from, const std::vector<int>& units) {
  return {"soil", made_from + "water that seasons begin with\nunits " + unit_ranges(units) + "\n"};
}

KeptWater::KeptWater(Cache& cache, const CacheKey& key, std::size_t units, std::size_t seasons, bool note)
    : chunks_((units + CropRecords::kChunk - 1) / CropRecords::kChunk) {
  const std::size_t moments = seasons + 1, bytes = units * moments * sizeof(SoilWater);
  if (bytes == 0) return;
  entry_ = whole_entry(cache, key, bytes);
  if (!entry_ && note) draft_ = cache.create(key, bytes, CropRecords::kChunk * moments * sizeof(SoilWater));
}

SeasonWater KeptWater::water() {
  if (entry_) return {reinterpret_cast<const SoilWater*>(entry_->bytes().data()), nullptr};
  return {nullptr, draft_ ? reinterpret_cast<SoilWater*>(draft_->bytes().data()) : nullptr};
}

void KeptWater::mark_done(std::size_t chunk) {
  if (draft_) draft_->mark_done(chunk);
}

void KeptWater::finish() {
  for (std::size_t chunk = 0; draft_ && chunk < chunks_; ++chunk)
    if (!draft_->done(chunk)) draft_.reset();  // what is done stays, for the next run on these units
  if (draft_) draft_->finish();
}

}  // namespace rickyard
