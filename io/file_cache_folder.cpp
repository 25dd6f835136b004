#include "io/file_cache_folder.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/mman.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <stdexcept>
#include <system_error>

#include "io/sha256.h"

namespace rickyard {
namespace {

constexpr std::string_view kEntryEnd = ".cache", kDraftStart = ".partial-", kDigestsDraft = ".partial-digests-";
constexpr std::size_t kHashDigits = 64, kRandomDigits = 8, kMostKind = 40;

bool is_hex(std::string_view text) { return text.find_first_not_of("0123456789abcdef") == std::string_view::npos; }

bool is_kind(std::string_view text) {
  return !text.empty() && text.size() <= kMostKind &&
         text.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789_-") == std::string_view::npos;
}

// "<kind>-<64 digits>"
bool is_key(std::string_view text) {
  if (text.size() < kHashDigits + 2) return false;
  const std::string_view kind = text.substr(0, text.size() - kHashDigits - 1);
  return is_kind(kind) && text[kind.size()] == '-' && is_hex(text.substr(kind.size() + 1));
}

// Cuts "-" and digits off the end.
bool cut_random(std::string_view& text) {
  if (text.size() <= kRandomDigits || text[text.size() - kRandomDigits - 1] != '-' || !is_hex(text.substr(text.size() - kRandomDigits)))
    return false;
  text.remove_suffix(kRandomDigits + 1);
  return true;
}

std::filesystem::path absolute_or_empty(const std::filesystem::path& folder) {
  std::error_code error;
  return folder.empty() ? folder : std::filesystem::absolute(folder, error);
}

}  // namespace

FileId id_of(const struct stat& status) { return {status.st_dev, status.st_ino}; }

std::string error_words(int error) {
  std::string words = std::generic_category().message(error);
  if (!words.empty() && words[0] >= 'A' && words[0] <= 'Z') words[0] = static_cast<char>(words[0] - 'A' + 'a');
  return words;
}

OpenFile::~OpenFile() {
  if (fd_ >= 0) ::close(fd_);
}

OpenFile& OpenFile::operator=(OpenFile&& other) noexcept {
  std::swap(fd_, other.fd_);
  return *this;
}

bool OpenFile::lock() const {
  if (::flock(fd_, LOCK_EX | LOCK_NB) == 0) return true;
  if (errno == EWOULDBLOCK) return false;
  throw std::system_error(errno, std::generic_category(), "cannot be locked");
}

bool OpenFile::status(struct stat& status) const { return ::fstat(fd_, &status) == 0; }

MappedFile::MappedFile(const OpenFile& file, std::size_t bytes, Access access) {
  const int protection = access == Access::write ? PROT_READ | PROT_WRITE : PROT_READ;
  void* const start = ::mmap(nullptr, bytes, protection, MAP_SHARED, file.fd(), 0);
  if (start == MAP_FAILED) throw std::system_error(errno, std::generic_category(), "cannot be mapped");
  bytes_ = {static_cast<std::byte*>(start), bytes};
}

MappedFile::~MappedFile() {
  if (!bytes_.empty()) ::munmap(bytes_.data(), bytes_.size());
}

void MappedFile::make_read_only() { ::mprotect(bytes_.data(), bytes_.size(), PROT_READ); }

bool MappedFile::readable(std::size_t offset, std::size_t size) const {
  const auto page = static_cast<std::size_t>(::sysconf(_SC_PAGESIZE));
  const std::size_t first = offset / page * page;
  if (::madvise(bytes_.data() + first, offset + size - first, MADV_POPULATE_READ) == 0) return true;
  return errno != EFAULT && errno != EHWPOISON;
}

void MappedFile::release(std::size_t offset, std::size_t size) const {
  const auto page = static_cast<std::size_t>(::sysconf(_SC_PAGESIZE));
  const std::size_t first = (offset + page - 1) / page * page;
  const std::size_t end = offset + size == bytes_.size() ? bytes_.size() : (offset + size) / page * page;
  if (first < end) ::madvise(bytes_.data() + first, end - first, MADV_DONTNEED);
}

EntryNames names_of(const CacheKey& key) {
  if (!is_kind(key.kind)) throw std::logic_error("not a kind of entry: \"" + key.kind + "\"");
  const std::string stem = key.kind + "-" + sha256_hex(key.made_from);
  return {stem + std::string(kEntryEnd), std::string(kDraftStart) + stem};
}

CacheFile cache_file(std::string_view name) {
  if (name.ends_with(kEntryEnd)) {
    name.remove_suffix(kEntryEnd.size());
    return is_key(name) ? CacheFile::entry : CacheFile::foreign;
  }
  if (!name.starts_with(kDraftStart)) return CacheFile::foreign;
  if (name.starts_with(kDigestsDraft) && name.size() == kDigestsDraft.size() + kRandomDigits && is_hex(name.substr(kDigestsDraft.size())))
    return CacheFile::digests_draft;
  name.remove_prefix(kDraftStart.size());
  if (is_key(name)) return CacheFile::draft;
  return cut_random(name) && is_key(name) ? CacheFile::private_draft : CacheFile::foreign;
}

std::string random_digits() {
  static std::atomic<unsigned> calls{0};
  const auto now = std::chrono::steady_clock::now().time_since_epoch().count();
  return sha256_hex(std::to_string(::getpid()) + " " + std::to_string(now) + " " + std::to_string(++calls)).substr(0, kRandomDigits);
}

CacheFolder::CacheFolder(const std::filesystem::path& folder, std::uint64_t limit) : path(absolute_or_empty(folder)), limit_bytes(limit) {}

bool CacheFolder::make() {
  if (path.empty()) return false;
  std::filesystem::path made;
  int error = 0;  // the first that is not "exists"
  for (const auto& piece : path) {
    made /= piece;
    if (::mkdir(made.c_str(), 0700) != 0 && errno != EEXIST && error == 0) error = errno;
  }
  std::error_code ignored;
  if (std::filesystem::is_directory(path, ignored)) return true;
  say(path.generic_string() + ": nothing is kept here: " + (error == 0 ? "this is no folder" : error_words(error)));
  return false;
}

OpenFile CacheFolder::open(std::string_view name, int flags) const {
  return OpenFile(::open(at(name).c_str(), flags | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC, 0666));
}

bool CacheFolder::is_still(std::string_view name, const FileId& id) const {
  struct stat status {};
  return ::lstat(at(name).c_str(), &status) == 0 && S_ISREG(status.st_mode) && id_of(status) == id;
}

std::string CacheFolder::remove(std::string_view name, const FileId& id) {
  if (!is_still(name, id) || ::unlink(at(name).c_str()) == 0) return "removed";
  const std::string why = error_words(errno);
  const std::lock_guard lock(mutex_);
  left_out_.insert(id);
  return "left out, for it cannot be removed: " + why;
}

bool CacheFolder::left_out(const FileId& id) const {
  const std::lock_guard lock(mutex_);
  return left_out_.contains(id);
}

void CacheFolder::sync() const {
  const OpenFile folder(::open(path.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (folder) ::fsync(folder.fd());
}

void CacheFolder::say(const std::string& words) {
  const std::lock_guard lock(mutex_);
  if (std::find(words_.begin(), words_.end(), words) == words_.end()) words_.push_back(words);
}

std::vector<std::string> CacheFolder::take_words() {
  const std::lock_guard lock(mutex_);
  return std::exchange(words_, {});
}

}  // namespace rickyard
