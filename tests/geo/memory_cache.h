#pragma once
// A cache in memory for tests: entries can be damaged, drafts survive their owners, and the disk can be full.
#include <cstdint>
#include <filesystem>
#include <map>
#include <set>
#include <string>
#include <system_error>
#include <vector>

#include "planner/base/cache.h"

namespace rickyard::test {

/// Stands for the end of the process.
struct Killed {};

class MemoryCache : public Cache {
 public:
  /// Payload, aligned as a mapping would be, with one checksum for all.
  struct Stored;

  MemoryCache();
  ~MemoryCache() override;
  std::shared_ptr<const CacheEntry> find(const CacheKey& key) override;
  std::unique_ptr<CacheDraft> create(const CacheKey& key, std::size_t bytes, std::size_t part_bytes) override;
  std::string digest(const std::string& name) override;

  /// Entries of a kind.
  int count(const std::string& kind) const;
  std::vector<std::byte> bytes_of(const std::string& kind) const;
  /// Turns one bit of the first entry of a kind.
  void damage(const std::string& kind, std::size_t byte);
  void remove(const std::string& kind);
  /// From now on mark_done of this kind fails once so many parts were done: the disk is full, or the process ends there.
  enum class Failing { full_disk, killed };
  void fail_after(const std::string& kind, int parts, Failing failing);
  void recover() { room_.clear(); }
  /// Digests stay as they are, whatever becomes of the files.
  void freeze_digests() { frozen_ = true; }
  void read_only(bool yes) { read_only_ = yes; }
  int created(const std::string& kind) const;

 private:
  friend class MemoryEntry;
  friend class MemoryDraft;
  std::map<std::string, std::map<std::string, std::shared_ptr<Stored>>> entries_, drafts_;  // by kind and text
  std::map<std::string, int> room_, created_;
  std::map<std::filesystem::path, std::string> digests_;
  Failing failing_ = Failing::full_disk;
  bool read_only_ = false, frozen_ = false;
};

}  // namespace rickyard::test
