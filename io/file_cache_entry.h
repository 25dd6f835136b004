#pragma once
// An entry in memory, checked part by part as it is used.
#include <atomic>
#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "io/file_cache_folder.h"
#include "io/file_cache_layout.h"
#include "planner/base/cache.h"

namespace rickyard {

class MappedEntry final : public CacheEntry {
 public:
  enum class Parts { unchecked, good };
  MappedEntry(std::shared_ptr<CacheFolder> folder, std::string name, FileId id, EntryLayout layout, MappedFile file, Parts parts);

  std::span<const std::byte> bytes() const override;
  void require(std::size_t offset, std::size_t size) const override;
  void release(std::size_t offset, std::size_t size) const override;

 private:
  void require_part(std::size_t part) const;
  bool matches(std::size_t part) const;
  [[noreturn]] void damaged(std::size_t part) const;
  void check_range(std::size_t offset, std::size_t size) const;

  std::shared_ptr<CacheFolder> folder_;
  std::string name_;
  FileId id_;
  EntryLayout layout_;
  MappedFile file_;
  mutable std::vector<std::atomic<int>> states_;  // by part
};

/// The entry, or nullptr: none there, or not taken (with words). What is not taken is removed where it may be.
std::shared_ptr<const CacheEntry> open_entry(const std::shared_ptr<CacheFolder>& folder, const CacheKey& key);

}  // namespace rickyard
