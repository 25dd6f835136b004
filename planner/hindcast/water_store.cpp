#include "planner/hindcast/water_store.h"

#include <algorithm>
#include <atomic>
#include <vector>

namespace rickyard {
namespace {

constexpr const char* kWater = "soil";
struct alignas(64) Line {
  std::byte bytes[64];
};

class WaterEntry : public CacheEntry {
 public:
  WaterEntry(std::vector<Line> lines, std::size_t size) : lines_(std::move(lines)), size_(size) {}
  std::span<const std::byte> bytes() const override { return {lines_.data()->bytes, size_}; }
  void require(std::size_t, std::size_t) const override {}
  void release(std::size_t, std::size_t) const override {}

 private:
  std::vector<Line> lines_;
  std::size_t size_;
};

}  // namespace

class WaterDraft : public CacheDraft {
 public:
  WaterDraft(WaterStore& store, std::string made_from, std::size_t bytes, std::size_t part_bytes)
      : store_(store),
        made_from_(std::move(made_from)),
        lines_((bytes + sizeof(Line) - 1) / sizeof(Line)),
        size_(bytes),
        done_((bytes + part_bytes - 1) / part_bytes) {}
  std::span<std::byte> bytes() override { return {lines_.data()->bytes, size_}; }
  bool done(std::size_t part) const override { return done_[part]; }
  void mark_done(std::size_t part) override { done_[part] = true; }
  void release(std::size_t) override {}
  std::shared_ptr<const CacheEntry> finish() override {
    if (!std::all_of(done_.begin(), done_.end(), [](const auto& done) { return done.load(); }))
      throw std::logic_error("a part of the draft is not done");
    auto entry = std::make_shared<const WaterEntry>(std::move(lines_), size_);
    store_.hold(made_from_, entry);
    return entry;
  }

 private:
  WaterStore& store_;
  std::string made_from_;
  std::vector<Line> lines_;
  std::size_t size_;
  std::vector<std::atomic<bool>> done_;
};

std::shared_ptr<const CacheEntry> WaterStore::find(const CacheKey& key) {
  if (key.kind != kWater) return disk_ && keep_records ? disk_->find(key) : nullptr;
  {
    const std::lock_guard lock(mutex_);
    if (const auto at = held_.find(key.made_from); at != held_.end()) return at->second;
  }
  auto entry = disk_ ? disk_->find(key) : nullptr;
  if (entry) hold(key.made_from, entry);
  return entry;
}

std::unique_ptr<CacheDraft> WaterStore::create(const CacheKey& key, std::size_t bytes, std::size_t part_bytes) {
  if (key.kind != kWater) return disk_ && keep_records ? disk_->create(key, bytes, part_bytes) : nullptr;
  auto draft = disk_ ? disk_->create(key, bytes, part_bytes) : nullptr;
  return draft ? std::move(draft) : std::make_unique<WaterDraft>(*this, key.made_from, bytes, part_bytes);
}

std::string WaterStore::digest(const std::string& file) {
  if (!disk_) throw std::logic_error("nothing is kept on disk");
  return disk_->digest(file);
}

void WaterStore::hold(const std::string& made_from, std::shared_ptr<const CacheEntry> entry) {
  const std::lock_guard lock(mutex_);
  held_.insert_or_assign(made_from, std::move(entry));
}

}  // namespace rickyard
