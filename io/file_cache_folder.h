#pragma once
// The folder of the cache and the files in it: names, open files, locks, mappings, removal. Nothing outside the folder is ever written:
// links are not followed, and only regular files with a name and a stamp of the cache's own are removed.
#include <sys/stat.h>

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <mutex>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "planner/base/cache.h"

namespace rickyard {

/// Which file it is, whatever its name.
struct FileId {
  dev_t device = 0;
  ino_t inode = 0;
  auto operator<=>(const FileId&) const = default;
};
FileId id_of(const struct stat& status);

/// "no space left on device" for an error number.
std::string error_words(int error);

/// An open file, closed on the way out (which also ends its lock).
class OpenFile {
 public:
  OpenFile() = default;
  explicit OpenFile(int fd) : fd_(fd) {}
  ~OpenFile();
  OpenFile(OpenFile&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  OpenFile& operator=(OpenFile&& other) noexcept;
  explicit operator bool() const { return fd_ >= 0; }
  int fd() const { return fd_; }
  /// False where somebody else has it. Throws std::system_error where this file system knows no locks.
  bool lock() const;
  bool status(struct stat& status) const;

 private:
  int fd_ = -1;
};

/// All of a file in memory, shared with it.
class MappedFile {
 public:
  enum class Access { read, write };
  /// Throws std::system_error.
  MappedFile(const OpenFile& file, std::size_t bytes, Access access);
  ~MappedFile();
  MappedFile(MappedFile&& other) noexcept : bytes_(std::exchange(other.bytes_, {})) {}
  MappedFile& operator=(MappedFile&&) = delete;
  std::span<std::byte> bytes() const { return bytes_; }
  void make_read_only();
  /// False where reading these bytes would end the process: the file was cut short meanwhile, or the disk fails. (Linux 5.14 and later
  /// know; before, true.)
  bool readable(std::size_t offset, std::size_t size) const;
  /// Gives back the memory of the pages that lie whole within.
  void release(std::size_t offset, std::size_t size) const;

 private:
  std::span<std::byte> bytes_;
};

/// Names of one entry's files.
struct EntryNames {
  std::string entry;  // weather-<64 digits>.cache
  std::string draft;  // .partial-weather-<64 digits>; a second process adds - and 8 digits
};
/// A kind is 1 to 40 of a-z, 0-9, _ and -; throws std::logic_error otherwise.
EntryNames names_of(const CacheKey& key);
enum class CacheFile { foreign, entry, draft, private_draft, digests_draft };
CacheFile cache_file(std::string_view name);

/// 8 hexadecimal digits that differ from call to call and from process to process.
std::string random_digits();

class CacheFolder {
 public:
  CacheFolder(const std::filesystem::path& folder, std::uint64_t limit);

  const std::filesystem::path path;  // absolute, or empty: nothing is kept
  const std::uint64_t limit_bytes;

  /// Makes the folder and those above it where they are missing, 0700. False, with words, where it cannot.
  bool make();
  std::filesystem::path at(std::string_view name) const { return path / std::string(name); }
  /// Opens one file of the folder, never through a link and never waiting. errno on failure.
  OpenFile open(std::string_view name, int flags) const;
  /// The name still stands for this file.
  bool is_still(std::string_view name, const FileId& id) const;
  /// Removes the file if the name still stands for it; where it may not be removed it is left out from now on. Returns what to say.
  std::string remove(std::string_view name, const FileId& id);
  bool left_out(const FileId& id) const;
  /// Syncs names to the disk, as far as the file system can.
  void sync() const;

  void say(const std::string& words);
  void say(std::string_view name, const std::string& words) { say(at(name).generic_string() + ": " + words); }
  std::vector<std::string> take_words();

 private:
  mutable std::mutex mutex_;
  std::set<FileId> left_out_;
  std::vector<std::string> words_;
};

}  // namespace rickyard
