#include "io/file_cache_digests.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <span>
#include <string_view>
#include <system_error>
#include <utility>

#include "io/file_cache_layout.h"
#include "io/sha256.h"

namespace rickyard {
namespace {

constexpr std::string_view kName = "digests", kTitle = "rickyard digests 1 ";
constexpr std::size_t kHexDigits = 64, kSumDigits = 16, kMostLines = 2000;
constexpr off_t kMostBytes = off_t{16} << 20U;
constexpr std::int64_t kNsPerSecond = 1'000'000'000;

std::int64_t in_ns(const timespec& time) { return std::int64_t{time.tv_sec} * kNsPerSecond + time.tv_nsec; }

std::string checksum_hex(std::string_view text) {
  std::uint64_t sum = cache_checksum(std::as_bytes(std::span(text)), 0);
  std::string hex(kSumDigits, '0');
  for (std::size_t i = kSumDigits; i-- > 0; sum >>= 4U) hex[i] = "0123456789abcdef"[sum & 15U];
  return hex;
}

// Appends what is known of one file; false where nothing is.
bool look_at(const std::filesystem::path& path, const std::string& name, std::string& text, std::int64_t& changed_ns) {
  struct stat status {};
  if (::stat(path.c_str(), &status) != 0) return false;
  for (const std::int64_t number : {std::int64_t{status.st_size}, in_ns(status.st_mtim), in_ns(status.st_ctim),
                                    static_cast<std::int64_t>(status.st_ino), static_cast<std::int64_t>(status.st_dev)})
    text += std::to_string(number) + " ";
  text += name;
  text += '\0';
  changed_ns = std::max({changed_ns, in_ns(status.st_mtim), in_ns(status.st_ctim)});
  return true;
}

std::string read_text(const OpenFile& file) {
  struct stat status {};
  if (!file || !file.status(status) || !S_ISREG(status.st_mode) || status.st_size > kMostBytes) return {};
  std::string text(static_cast<std::size_t>(status.st_size), '\0');
  const ssize_t n = ::pread(file.fd(), text.data(), text.size(), 0);
  return n == static_cast<ssize_t>(text.size()) ? text : std::string();
}

}  // namespace

std::optional<Fingerprint> fingerprint(const std::filesystem::path& path) {
  // The same files as sha256_of_file reads.
  std::vector<std::string> names;
  std::error_code error;
  const bool is_folder = std::filesystem::is_directory(path, error);
  if (is_folder)
    for (std::filesystem::recursive_directory_iterator at(path, error), end; !error && at != end; at.increment(error))
      if (!at->is_directory(error)) names.push_back(at->path().lexically_relative(path).generic_string());
  if (error) return std::nullopt;
  std::sort(names.begin(), names.end());
  std::string text = is_folder ? "folder\n" : "file\n";
  Fingerprint out;
  if (!is_folder && !look_at(path, "", text, out.changed_ns)) return std::nullopt;
  for (const auto& name : names)
    if (!look_at(path / name, name, text, out.changed_ns)) return std::nullopt;
  out.hex = sha256_hex(text);
  return out;
}

std::vector<DigestMemory::Line> DigestMemory::read() const {
  if (folder_->path.empty()) return {};
  const std::string text = read_text(folder_->open(kName, O_RDONLY));
  const std::size_t start = kTitle.size() + kSumDigits + 1;
  if (text.size() < start || !text.starts_with(kTitle)) return {};
  std::string_view body = std::string_view(text).substr(start);
  if (std::string_view(text).substr(kTitle.size(), kSumDigits) != checksum_hex(body)) return {};
  std::vector<Line> lines;
  while (!body.empty()) {
    const std::size_t end = body.find('\n');
    constexpr std::size_t kPathAt = 2 * (kHexDigits + 1);
    if (end == std::string_view::npos || end <= kPathAt) return {};
    lines.push_back({std::string(body.substr(0, kHexDigits)), std::string(body.substr(kHexDigits + 1, kHexDigits)),
                     std::string(body.substr(kPathAt, end - kPathAt))});
    body.remove_prefix(end + 1);
  }
  return lines;
}

std::string DigestMemory::recall(const std::filesystem::path& absolute, const std::string& fingerprint) {
  const std::lock_guard lock(mutex_);
  if (!lines_) lines_ = read();
  const auto line = std::find_if(lines_->begin(), lines_->end(), [&](const Line& l) { return l.path == absolute.native(); });
  return line != lines_->end() && line->fingerprint == fingerprint ? line->digest : std::string();
}

void DigestMemory::remember(const std::filesystem::path& absolute, const std::string& fingerprint, const std::string& digest) {
  if (absolute.native().find('\n') != std::string::npos || !folder_->make()) return;
  const std::lock_guard lock(mutex_);
  lines_ = read();  // with what others remembered meanwhile
  std::erase_if(*lines_, [&](const Line& l) { return l.path == absolute.native(); });
  lines_->push_back({digest, fingerprint, absolute.native()});
  if (lines_->size() > kMostLines) lines_->erase(lines_->begin());
  write(*lines_);
}

// Not synced: a file that a crash left in pieces does not match its checksum.
void DigestMemory::write(const std::vector<Line>& lines) {
  std::string body;
  for (const auto& line : lines) body += line.digest + " " + line.fingerprint + " " + line.path + "\n";
  const std::string text = std::string(kTitle) + checksum_hex(body) + "\n" + body;
  struct stat status {};
  if (::lstat(folder_->at(kName).c_str(), &status) == 0 && !S_ISREG(status.st_mode)) {
    folder_->say(kName, "digests are not kept: this is no file");
    return;
  }
  const std::string draft = ".partial-digests-" + random_digits();
  const OpenFile file = folder_->open(draft, O_WRONLY | O_CREAT | O_EXCL);
  int error = file ? 0 : errno;
  if (error == 0 && ::write(file.fd(), text.data(), text.size()) != static_cast<ssize_t>(text.size())) error = errno != 0 ? errno : ENOSPC;
  if (error == 0 && std::rename(folder_->at(draft).c_str(), folder_->at(kName).c_str()) != 0) error = errno;
  if (error == 0) return;
  folder_->say(kName, "digests are not kept: " + error_words(error));
  if (file) ::unlink(folder_->at(draft).c_str());
}

}  // namespace rickyard
