#include "io/run_folder_files.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <string>

#include "planner/base/problem.h"

namespace rickyard {
namespace {

const char* remedy(int error) {
  switch (error) {
    case ENOSPC:
    case EDQUOT:
    case EFBIG:
      return "free some space or choose another place with --out";
    case EACCES:
    case EPERM:
    case EROFS:
      return "choose a place you may write to with --out";
    case ENAMETOOLONG:
      return "choose a shorter name or place";
    case ENOTDIR:
      return "a part of this path is a file; choose another place with --out";
    default:
      return "check the disk or choose another place with --out";
  }
}

// A file descriptor that is closed on the way out; close() reports what the destructor cannot.
class Descriptor {
 public:
  Descriptor(const std::filesystem::path& path, int flags) : path_(path), fd_(::open(path.c_str(), flags | O_CLOEXEC, 0666)) {
    if (fd_ < 0) cannot_write(path_, "cannot be opened", errno);
  }
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;

  void write_all(std::string_view bytes) {
    while (!bytes.empty()) {
      const ssize_t n = ::write(fd_, bytes.data(), bytes.size());
      if (n < 0 && errno == EINTR) continue;
      if (n < 0) cannot_write(path_, "cannot be written", errno);
      bytes.remove_prefix(static_cast<std::size_t>(n));
    }
  }
  void sync() {
    // EINVAL and ENOTSUP: a file system that has no sync for this kind of file; nothing more can be done.
    if (::fsync(fd_) != 0 && errno != EINVAL && errno != ENOTSUP) cannot_write(path_, "cannot be synced to the disk", errno);
  }
  void close() {
    const int fd = fd_;
    fd_ = -1;
    if (::close(fd) != 0 && errno != EINTR) cannot_write(path_, "cannot be closed", errno);
  }

 private:
  std::filesystem::path path_;
  int fd_;
};

}  // namespace

void cannot_write(const std::filesystem::path& path, const char* what, int error) {
  std::string words = std::strerror(error);
  if (!words.empty() && words[0] >= 'A' && words[0] <= 'Z') words[0] = static_cast<char>(words[0] - 'A' + 'a');
  throw OutputError(path.generic_string() + ": " + what + ": " + words + "; " + remedy(error));
}

void write_file(const std::filesystem::path& path, std::string_view bytes) {
  Descriptor file(path, O_WRONLY | O_CREAT | O_TRUNC);
  file.write_all(bytes);
  file.sync();
  file.close();
}

void sync_to_disk(const std::filesystem::path& path) {
  Descriptor file(path, O_RDONLY);
  file.sync();
  file.close();
}

bool rename_new(const std::filesystem::path& from, const std::filesystem::path& to) {
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return true;
  if (errno == EEXIST || errno == ENOTEMPTY) return false;
  if (errno != EINVAL && errno != ENOSYS) cannot_write(to, "cannot be given its name", errno);
  // This file system knows no such flag. A plain rename of a folder fails on a file and on a folder with content, so the
  // most that it could replace, if one appeared since we looked, is an empty folder.
  struct stat status {};
  if (::lstat(to.c_str(), &status) == 0) return false;
  if (::rename(from.c_str(), to.c_str()) == 0) return true;
  if (errno == EEXIST || errno == ENOTEMPTY || errno == ENOTDIR) return false;
  cannot_write(to, "cannot be given its name", errno);
}

}  // namespace rickyard
