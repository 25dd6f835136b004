#pragma once
// An entry that is being made: a locked file beside, of its full size from the start.
#include <atomic>
#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "io/file_cache_entry.h"
#include "io/file_cache_folder.h"
#include "io/file_cache_layout.h"
#include "planner/base/cache.h"

namespace rickyard {

class FileDraft final : public CacheDraft {
 public:
  /// Where a draft lies. A private one is of this process only and goes when it ends; the other is found again.
  struct Place {
    OpenFile file;  // locked
    std::string name;
    FileId id;
    bool is_private = false;
    bool found = false;  // with this head and length, made by an earlier process
  };
  FileDraft(std::shared_ptr<CacheFolder> folder, std::string entry_name, EntryLayout layout, Place place, MappedFile file);
  ~FileDraft() override;

  std::span<std::byte> bytes() override;
  bool done(std::size_t part) const override;
  void mark_done(std::size_t part) override;
  void release(std::size_t part) override;
  std::shared_ptr<const CacheEntry> finish() override;

 private:
  bool check_found(std::size_t part) const;
  void check_unfinished(std::size_t part) const;
  MappedEntry::Parts keep();

  std::shared_ptr<CacheFolder> folder_;
  std::string entry_name_;
  EntryLayout layout_;
  Place place_;
  MappedFile file_;
  mutable std::vector<std::atomic<int>> states_;  // by part
  bool finished_ = false;
};

/// A draft of this size with its space taken, or nullptr with words. The folder is there.
std::unique_ptr<CacheDraft> open_draft(const std::shared_ptr<CacheFolder>& folder, const CacheKey& key, const EntryLayout& layout);

}  // namespace rickyard
