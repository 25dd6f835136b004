#pragma once
// The soil water that past seasons begin with, at hand for every season that is put in front of them; their records are kept only of the
// past.
#include <map>
#include <mutex>
#include <string>

#include "planner/base/cache.h"

namespace rickyard {

/// A cache before the one that is given. Soil water: found there or in memory, and held in memory. Everything else: of that cache while
/// `keep_records`, afterwards not kept. Safe from several threads but for `keep_records`.
class WaterStore : public Cache {
 public:
  /// disk: may be null; must outlive this.
  explicit WaterStore(Cache* disk) : disk_(disk) {}
  bool keep_records = true;

  std::shared_ptr<const CacheEntry> find(const CacheKey& key) override;
  std::unique_ptr<CacheDraft> create(const CacheKey& key, std::size_t bytes, std::size_t part_bytes) override;
  std::string digest(const std::string& file) override;

 private:
  friend class WaterDraft;
  void hold(const std::string& made_from, std::shared_ptr<const CacheEntry> entry);
  Cache* disk_;
  std::mutex mutex_;
  std::map<std::string, std::shared_ptr<const CacheEntry>> held_;
};

}  // namespace rickyard
