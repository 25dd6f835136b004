#include "io/file_cache_room.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <ctime>
#include <filesystem>
#include <string>
#include <system_error>
#include <tuple>
#include <utility>
#include <vector>

#include "io/file_cache_layout.h"

namespace rickyard {
namespace {

constexpr std::time_t kOldDigestsSeconds = 60;

struct Found {
  std::string name;
  CacheFile kind = CacheFile::foreign;
  FileId id;
  std::uint64_t bytes = 0;
  timespec used{};
};

// Regular files with a name of the cache's own.
std::vector<Found> own_files(const CacheFolder& folder) {
  std::vector<Found> all;
  std::error_code error;
  for (std::filesystem::directory_iterator at(folder.path, error), end; !error && at != end; at.increment(error)) {
    Found found{at->path().filename().string(), CacheFile::foreign, {}, 0, {}};
    found.kind = cache_file(found.name);
    struct stat status {};
    if (found.kind == CacheFile::foreign || ::lstat(at->path().c_str(), &status) != 0 || !S_ISREG(status.st_mode)) continue;
    found.id = id_of(status);
    found.bytes = static_cast<std::uint64_t>(status.st_size);
    found.used = status.st_mtim;
    all.push_back(std::move(found));
  }
  return all;
}

enum class Stamp { ours, another_layout, foreign };

// Of the first bytes; an empty file is a draft that was never begun.
Stamp stamp_of(const OpenFile& file) {
  std::array<char, kCacheStampBytes> stamp{};
  const ssize_t n = ::pread(file.fd(), stamp.data(), stamp.size(), 0);
  if (n == 0) return Stamp::ours;
  if (n < static_cast<ssize_t>(kCacheMagic.size()) || !std::equal(kCacheMagic.begin(), kCacheMagic.end(), stamp.begin()))
    return Stamp::foreign;
  try {
    check_stamp(std::as_bytes(std::span(stamp)));
    return Stamp::ours;
  } catch (const NotTaken&) {
    return Stamp::another_layout;
  }
}

// Opens the file and, where it is a draft, locks it: held by whoever is about to remove it. None where somebody else has it.
OpenFile hold(const CacheFolder& folder, const Found& found) {
  OpenFile file = folder.open(found.name, found.kind == CacheFile::entry ? O_RDONLY : O_RDWR);  // NFS locks what may be written
  if (!file || found.kind == CacheFile::entry) return file;
  try {
    return file.lock() ? std::move(file) : OpenFile();
  } catch (const std::system_error&) {
    return {};
  }
}

void tidy_one(CacheFolder& folder, const Found& found) {
  if (found.kind == CacheFile::digests_draft) {
    if (std::time(nullptr) - found.used.tv_sec > kOldDigestsSeconds) folder.remove(found.name, found.id);
    return;
  }
  const OpenFile file = hold(folder, found);
  if (!file) return;
  const Stamp stamp = stamp_of(file);
  if (stamp == Stamp::another_layout)
    folder.say(found.name, "has another layout than this program's: " + folder.remove(found.name, found.id));
  else if (stamp == Stamp::ours && found.kind == CacheFile::private_draft)
    folder.remove(found.name, found.id);
}

std::string megabytes(std::uint64_t bytes) { return std::to_string((bytes + 999'999) / 1'000'000) + " MB"; }

}  // namespace

void tidy(CacheFolder& folder) {
  for (const auto& found : own_files(folder)) tidy_one(folder, found);
}

bool make_room(CacheFolder& folder, std::uint64_t bytes, std::string_view own_draft) {
  auto files = own_files(folder);
  std::erase_if(files, [&](const Found& found) { return found.name == own_draft; });
  std::sort(files.begin(), files.end(), [](const Found& a, const Found& b) {
    return std::tie(a.used.tv_sec, a.used.tv_nsec, a.name) < std::tie(b.used.tv_sec, b.used.tv_nsec, b.name);
  });
  std::uint64_t used = 0;
  for (const auto& found : files) used += found.bytes;
  const auto fits = [&] { return used <= folder.limit_bytes && bytes <= folder.limit_bytes - used; };

  std::vector<std::pair<const Found*, OpenFile>> going;
  for (const auto& found : files) {
    if (fits()) break;
    OpenFile file = hold(folder, found);
    if (!file) continue;
    const Stamp stamp = stamp_of(file);
    used -= found.bytes;
    if (stamp == Stamp::foreign) continue;  // it bears such a name, but is not the cache's to count or to remove
    going.emplace_back(&found, std::move(file));
  }
  if (!fits()) {
    folder.say("no room in " + folder.path.generic_string() + " for " + megabytes(bytes) + ": the limit is " +
               megabytes(folder.limit_bytes));
    return false;
  }
  for (const auto& [found, file] : going)
    folder.say(found->name, "made room under the limit of " + megabytes(folder.limit_bytes) + ": " + folder.remove(found->name, found->id));
  return true;
}

}  // namespace rickyard
