#include "memory_cache.h"

#include <algorithm>
#include <fstream>
#include <iterator>
#include <mutex>

#include "planner/base/problem.h"

namespace rickyard::test {

struct MemoryCache::Stored {
  Stored(std::size_t bytes, std::size_t part) : size(bytes), part_bytes(part), words(bytes / 8 + 9), done((bytes + part - 1) / part, 0) {}
  // A vector of words is aligned for any number; the entry begins at a multiple of 64.
  std::byte* data() {
    auto* first = reinterpret_cast<std::byte*>(words.data());
    while (reinterpret_cast<std::uintptr_t>(first) % 64 != 0) ++first;
    return first;
  }
  std::span<std::byte> bytes() { return {data(), size}; }
  std::uint64_t sum() {
    std::uint64_t hash = 14695981039346656037u;
    for (const std::byte b : bytes()) hash = (hash ^ static_cast<std::uint64_t>(b)) * 1099511628211u;
    return hash;
  }
  std::size_t size, part_bytes;
  std::vector<std::uint64_t> words;
  std::vector<char> done;
  std::uint64_t kept_sum = 0;
  std::mutex mutex;
};

class MemoryEntry final : public CacheEntry {
 public:
  MemoryEntry(MemoryCache& cache, CacheKey key, std::shared_ptr<MemoryCache::Stored> stored)
      : cache_(cache), key_(std::move(key)), stored_(std::move(stored)) {}
  std::span<const std::byte> bytes() const override { return stored_->bytes(); }
  void require(std::size_t offset, std::size_t size) const override {
    if (offset + size > stored_->size) throw std::logic_error("past the end of the entry");
    if (stored_->sum() == stored_->kept_sum) return;
    cache_.entries_[key_.kind].erase(key_.made_from);
    throw DamagedEntry(key_.kind + " is damaged");
  }
  void release(std::size_t, std::size_t) const override {}

 private:
  MemoryCache& cache_;
  CacheKey key_;
  std::shared_ptr<MemoryCache::Stored> stored_;
};

class MemoryDraft final : public CacheDraft {
 public:
  MemoryDraft(MemoryCache& cache, CacheKey key, std::shared_ptr<MemoryCache::Stored> stored)
      : cache_(cache), key_(std::move(key)), stored_(std::move(stored)) {}
  std::span<std::byte> bytes() override { return stored_->bytes(); }
  bool done(std::size_t part) const override { return stored_->done.at(part) != 0; }
  void mark_done(std::size_t part) override {
    if (const auto room = cache_.room_.find(key_.kind); room != cache_.room_.end() && room->second-- <= 0) {
      if (cache_.failing_ == MemoryCache::Failing::killed) throw Killed();
      throw std::system_error(std::make_error_code(std::errc::no_space_on_device));
    }
    stored_->done.at(part) = 1;
  }
  void release(std::size_t) override {}
  std::shared_ptr<const CacheEntry> finish() override {
    if (std::count(stored_->done.begin(), stored_->done.end(), 0) > 0) throw std::logic_error("a part is not done");
    stored_->kept_sum = stored_->sum();
    cache_.drafts_[key_.kind].erase(key_.made_from);
    cache_.entries_[key_.kind][key_.made_from] = stored_;
    return std::make_shared<MemoryEntry>(cache_, key_, stored_);
  }

 private:
  MemoryCache& cache_;
  CacheKey key_;
  std::shared_ptr<MemoryCache::Stored> stored_;
};

MemoryCache::MemoryCache() = default;
MemoryCache::~MemoryCache() = default;

std::shared_ptr<const CacheEntry> MemoryCache::find(const CacheKey& key) {
  auto& of_kind = entries_[key.kind];
  const auto found = of_kind.find(key.made_from);
  if (found == of_kind.end()) return nullptr;
  return std::make_shared<MemoryEntry>(*this, key, found->second);
}

std::unique_ptr<CacheDraft> MemoryCache::create(const CacheKey& key, std::size_t bytes, std::size_t part_bytes) {
  if (read_only_) return nullptr;
  ++created_[key.kind];
  auto& draft = drafts_[key.kind][key.made_from];
  if (!draft || draft->size != bytes || draft->part_bytes != part_bytes) draft = std::make_shared<Stored>(bytes, part_bytes);
  return std::make_unique<MemoryDraft>(*this, key, draft);
}

// Names and bytes themselves: no two files that differ share a digest.
std::string MemoryCache::digest(const std::string& name) {
  const std::filesystem::path file = name;
  if (frozen_ && digests_.contains(file)) return digests_[file];
  std::string out;
  std::vector<std::filesystem::path> files = {file};
  if (std::filesystem::is_directory(file)) {
    files.clear();
    for (const auto& entry : std::filesystem::recursive_directory_iterator(file))
      if (entry.is_regular_file()) files.push_back(entry.path());
    std::sort(files.begin(), files.end());
  }
  for (const auto& path : files) {
    std::ifstream in(path, std::ios::binary);
    if (!in) throw InputError({{Severity::error, path.string(), "", "cannot be read", ""}});
    const std::string text{std::istreambuf_iterator<char>(in), {}};
    out += path.lexically_relative(file).string() + " " + std::to_string(text.size()) + " " +
           std::to_string(std::hash<std::string>{}(text)) + "\n";
  }
  digests_[file] = out;
  return out;
}

int MemoryCache::count(const std::string& kind) const {
  const auto found = entries_.find(kind);
  return found == entries_.end() ? 0 : static_cast<int>(found->second.size());
}

std::vector<std::byte> MemoryCache::bytes_of(const std::string& kind) const {
  const auto found = entries_.find(kind);
  if (found == entries_.end() || found->second.empty()) return {};
  const auto bytes = found->second.begin()->second->bytes();
  return {bytes.begin(), bytes.end()};
}

void MemoryCache::damage(const std::string& kind, std::size_t byte) { entries_.at(kind).begin()->second->bytes()[byte] ^= std::byte{4}; }

void MemoryCache::remove(const std::string& kind) { entries_.erase(kind); }

void MemoryCache::fail_after(const std::string& kind, int parts, Failing failing) {
  room_[kind] = parts;
  failing_ = failing;
}

int MemoryCache::created(const std::string& kind) const {
  const auto found = created_.find(kind);
  return found == created_.end() ? 0 : found->second;
}

}  // namespace rickyard::test
