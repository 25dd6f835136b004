#pragma once
// SHA-256 of files that were digested before, kept in one small text file of the cache's folder:
//
//     rickyard digests 1 <checksum of all lines below, 16 digits>
//     <SHA-256> <fingerprint> <absolute path>
//
// The fingerprint is the SHA-256 of sizes, times, inodes and devices: of the file, or of every file in the folder with its name.
// The oldest line stands first. A file that is damaged, or written by another version, counts as empty.
#include <cstdint>
#include <filesystem>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "io/file_cache_folder.h"

namespace rickyard {

/// What tells one state of a file or folder from another without reading its bytes.
struct Fingerprint {
  std::string hex;
  std::int64_t changed_ns = 0;  // the latest change of contents or status, since 1970
};
/// None where something cannot be looked at.
std::optional<Fingerprint> fingerprint(const std::filesystem::path& path);

class DigestMemory {
 public:
  explicit DigestMemory(std::shared_ptr<CacheFolder> folder) : folder_(std::move(folder)) {}
  /// Empty where the digest of this state is not known.
  std::string recall(const std::filesystem::path& absolute, const std::string& fingerprint);
  void remember(const std::filesystem::path& absolute, const std::string& fingerprint, const std::string& digest);

 private:
  struct Line {
    std::string digest, fingerprint, path;
  };
  std::vector<Line> read() const;
  void write(const std::vector<Line>& lines);

  std::shared_ptr<CacheFolder> folder_;
  std::mutex mutex_;
  std::optional<std::vector<Line>> lines_;  // read when first asked
};

}  // namespace rickyard
