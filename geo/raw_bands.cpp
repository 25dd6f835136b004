#include "geo/raw_bands.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>

namespace rickyard {

RawBands::RawBands(const std::string& path) : file_(open(path.c_str(), O_RDONLY | O_CLOEXEC)) {}

RawBands::~RawBands() {
  if (file_ >= 0) close(file_);
}

bool RawBands::read(long long offset, std::byte* to, std::size_t bytes) const {
  if (file_ < 0) return false;
  while (bytes > 0) {
    const ssize_t n = pread(file_, to, bytes, static_cast<off_t>(offset));
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return false;
    to += n;
    offset += n;
    bytes -= static_cast<std::size_t>(n);
  }
  return true;
}

}  // namespace rickyard
