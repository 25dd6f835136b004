#pragma once
// What the tests of the cache share: a folder of their own, entries with known bytes, files seen from outside.
#include <stdlib.h>
#include <unistd.h>

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "planner/base/cache.h"
#include "tests/support/in_child.h"

namespace rickyard {

/// A folder where anybody may walk in, removed at the end (by the process that made it).
class TestFolder {
 public:
  TestFolder() : owner_(::getpid()) {
    std::string pattern = (std::filesystem::temp_directory_path() / "rickyard-cache-test-XXXXXX").string();
    if (!::mkdtemp(pattern.data())) throw std::runtime_error("no temporary folder: " + pattern);
    path_ = pattern;
    std::filesystem::permissions(path_, static_cast<std::filesystem::perms>(0755));
  }
  ~TestFolder() {
    std::error_code ignored;
    if (owner_ == ::getpid()) std::filesystem::remove_all(path_, ignored);
  }
  TestFolder(const TestFolder&) = delete;
  TestFolder& operator=(const TestFolder&) = delete;
  std::filesystem::path operator/(std::string_view name) const { return path_ / name; }
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
  pid_t owner_;
};

/// Byte i of an entry: differs between seeds and has no period that a part could hide.
inline std::byte byte_of(std::size_t i, unsigned seed) { return static_cast<std::byte>(((i + seed) * 2654435761U) >> 13U); }

inline void fill(std::span<std::byte> bytes, std::size_t from, std::size_t size, unsigned seed) {
  for (std::size_t i = from; i < std::min(from + size, bytes.size()); ++i) bytes[i] = byte_of(i, seed);
}

inline bool holds(std::span<const std::byte> bytes, unsigned seed) {
  for (std::size_t i = 0; i < bytes.size(); ++i)
    if (bytes[i] != byte_of(i, seed)) return false;
  return true;
}

/// Makes every part that is not done, says how many, and finishes. nullptr where the cache takes no such entry.
inline std::shared_ptr<const CacheEntry> make_entry(Cache& cache, const CacheKey& key, std::size_t bytes, std::size_t part_bytes,
                                                    unsigned seed, std::size_t* parts_made = nullptr) {
  const auto draft = cache.create(key, bytes, part_bytes);
  if (!draft) return nullptr;
  const std::size_t parts = (bytes + part_bytes - 1) / part_bytes;
  for (std::size_t part = 0; part < parts; ++part) {
    if (draft->done(part)) continue;
    fill(draft->bytes(), part * part_bytes, part_bytes, seed);
    draft->mark_done(part);
    if (parts_made) ++*parts_made;
  }
  return draft->finish();
}

/// Found, checked, and with the bytes of this seed.
inline bool is_kept(Cache& cache, const CacheKey& key, unsigned seed) {
  const auto entry = cache.find(key);
  if (!entry) return false;
  entry->require(0, entry->bytes().size());
  return holds(entry->bytes(), seed);
}

inline std::vector<std::string> names_in(const std::filesystem::path& folder) {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  return names;
}

inline std::string text_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

inline void write_text(const std::filesystem::path& path, std::string_view text) {
  std::ofstream file(path, std::ios::binary | std::ios::trunc);
  file << text;
  if (!file.flush()) throw std::runtime_error("cannot be written: " + path.string());
}

inline void flip_bit(const std::filesystem::path& path, std::size_t offset) {
  std::fstream file(path, std::ios::binary | std::ios::in | std::ios::out);
  file.seekg(static_cast<std::streamoff>(offset));
  const int was = file.get();
  file.seekp(static_cast<std::streamoff>(offset));
  file.put(static_cast<char>(was ^ 0x10));
  if (was < 0 || !file.flush()) throw std::runtime_error("cannot be changed: " + path.string());
}

inline bool says(const std::vector<std::string>& words, std::string_view what) {
  return std::any_of(words.begin(), words.end(), [&](const std::string& line) { return line.find(what) != std::string::npos; });
}

}  // namespace rickyard
