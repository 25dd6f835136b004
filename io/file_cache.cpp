#include "io/file_cache.h"

#include <sys/stat.h>

#include <atomic>
#include <chrono>
#include <cstdlib>
#include <mutex>
#include <stdexcept>

#include "io/file_cache_digests.h"
#include "io/file_cache_draft.h"
#include "io/file_cache_entry.h"
#include "io/file_cache_folder.h"
#include "io/file_cache_layout.h"
#include "io/file_cache_room.h"
#include "io/sha256.h"

namespace rickyard {
namespace {

// A file that changed this shortly before it was digested may change again without its times telling.
constexpr std::int64_t kSettledNs = 2'000'000'000;

std::filesystem::path absolute_of(const char* variable) {
  const char* const value = std::getenv(variable);
  const std::filesystem::path path(value ? value : "");
  return path.is_absolute() ? path : std::filesystem::path();
}

// Something other than a file under the entry's name: it is not the cache's, and stays.
bool is_taken(const CacheFolder& folder, const std::string& name) {
  struct stat status {};
  return ::lstat(folder.at(name).c_str(), &status) == 0 && !S_ISREG(status.st_mode);
}

}  // namespace

std::filesystem::path default_cache_folder() {
  if (const auto cache = absolute_of("XDG_CACHE_HOME"); !cache.empty()) return cache / "rickyard";
  if (const auto home = absolute_of("HOME"); !home.empty()) return home / ".cache" / "rickyard";
  return {};
}

struct FileCache::Parts {
  Parts(const std::filesystem::path& path, std::uint64_t limit_bytes, Clock now_ns)
      : folder(std::make_shared<CacheFolder>(path, limit_bytes)), digests(folder), clock(now_ns) {}
  std::shared_ptr<CacheFolder> folder;
  DigestMemory digests;
  Clock clock;
  std::once_flag tidied;
  std::mutex creating;  // making room and taking it
};

std::int64_t FileCache::wall_clock_ns() {
  return std::chrono::duration_cast<std::chrono::nanoseconds>(std::chrono::system_clock::now().time_since_epoch()).count();
}

FileCache::FileCache(const std::filesystem::path& folder, std::uint64_t limit_bytes, Clock clock)
    : parts_(std::make_unique<Parts>(folder, limit_bytes, clock)) {}

FileCache::~FileCache() = default;

std::shared_ptr<const CacheEntry> FileCache::find(const CacheKey& key) { return open_entry(parts_->folder, key); }

std::unique_ptr<CacheDraft> FileCache::create(const CacheKey& key, std::size_t bytes, std::size_t part_bytes) {
  const EntryNames names = names_of(key);
  const EntryLayout layout(key, bytes, part_bytes);
  if (!parts_->folder->make()) return nullptr;
  if (is_taken(*parts_->folder, names.entry)) {
    parts_->folder->say(names.entry, "not kept: something else has this name");
    return nullptr;
  }
  std::call_once(parts_->tidied, [&] { tidy(*parts_->folder); });
  const std::lock_guard lock(parts_->creating);
  if (!make_room(*parts_->folder, layout.file_bytes, names.draft)) return nullptr;
  return open_draft(parts_->folder, key, layout);
}

std::string FileCache::digest(const std::string& file) {
  std::error_code error;
  const auto absolute = std::filesystem::absolute(file, error);
  const auto before = fingerprint(file);
  if (!before || error || parts_->folder->path.empty()) return sha256_of_file(file);
  if (auto known = parts_->digests.recall(absolute, before->hex); !known.empty()) return known;
  const std::int64_t now_ns = parts_->clock();
  std::string digest = sha256_of_file(file);
  const auto after = fingerprint(file);
  const bool settled = now_ns - before->changed_ns >= kSettledNs;
  if (settled && after && after->hex == before->hex) parts_->digests.remember(absolute, before->hex, digest);
  return digest;
}

std::vector<std::string> FileCache::words() { return parts_->folder->take_words(); }

}  // namespace rickyard
