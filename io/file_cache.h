#pragma once
// A folder of entries that are made once and mapped into memory by every later run.
//
// One entry is one file, named by its kind and the SHA-256 of what it was made from. Its head repeats that text in full and holds a
// checksum for each part of the bytes, so a file that is cut short, damaged, of another layout or of another entry is never taken:
// it is removed and made anew. A draft is a hidden file beside; a process that is killed leaves it, and the next one goes on with the
// parts whose checksums hold. Runs at the same time do not disturb each other: a draft is locked, a finished one renamed at once, and
// what is removed stays readable to those who have it mapped.
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "planner/base/cache.h"

namespace rickyard {

/// $XDG_CACHE_HOME/rickyard, or $HOME/.cache/rickyard (XDG Base Directory Specification 0.8: a relative path counts as not set). Empty
/// where neither is known.
std::filesystem::path default_cache_folder();

/// May be used from several threads. Prints nothing and, but for `digest`, throws no errors of the disk: what cannot be kept is not kept,
/// and `words` says why.
class FileCache final : public Cache {
 public:
  /// Nanoseconds since 1970; tests bring their own.
  using Clock = std::int64_t (*)();
  static std::int64_t wall_clock_ns();

  /// Nothing is read or made yet. An empty folder name: nothing is kept. The folder is made, for its owner alone, when the first entry is.
  /// limit_bytes bounds all entries and drafts together; two runs that make entries at the same moment may exceed it until the next one.
  FileCache(const std::filesystem::path& folder, std::uint64_t limit_bytes, Clock clock = wall_clock_ns);
  ~FileCache() override;

  std::shared_ptr<const CacheEntry> find(const CacheKey& key) override;
  std::unique_ptr<CacheDraft> create(const CacheKey& key, std::size_t bytes, std::size_t part_bytes) override;
  std::string digest(const std::string& file) override;

  /// Why entries were removed, not taken or not kept since the last call; one line each, none twice.
  std::vector<std::string> words();

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace rickyard
