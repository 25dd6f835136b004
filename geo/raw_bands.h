#pragma once
// Uncompressed bands that lie row after row in their file are read straight from it: no block cache, one read for many rows.
#include <cstddef>
#include <string>

namespace rickyard {

class RawBands {
 public:
  /// The file is opened; where it cannot be, every read fails.
  explicit RawBands(const std::string& path);
  ~RawBands();
  RawBands(const RawBands&) = delete;
  RawBands& operator=(const RawBands&) = delete;

  /// Fills `to` from there. False where the file ends early or cannot be read. From any thread.
  bool read(long long offset, std::byte* to, std::size_t bytes) const;

 private:
  int file_ = -1;
};

}  // namespace rickyard
