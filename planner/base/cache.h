#pragma once
// What is kept between runs, under a text that says all that it was made from. The disk behind it is io/file_cache.h; without one
// everything is made anew.
#include <cstddef>
#include <functional>
#include <memory>
#include <span>
#include <stdexcept>
#include <string>

namespace rickyard {

/// Kept bytes turned out not to be those that were written. The entry is gone when this is thrown: asking again makes it anew.
struct DamagedEntry : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// Bytes of a kept entry, mapped and read-only, 64-byte aligned. Safe from several threads.
class CacheEntry {
 public:
  virtual ~CacheEntry() = default;
  /// All bytes; read only what `require` has let through.
  virtual std::span<const std::byte> bytes() const = 0;
  /// Checks these bytes against their checksums; each stretch is checked once. Throws DamagedEntry.
  virtual void require(std::size_t offset, std::size_t size) const = 0;
  /// These bytes will not be read soon: their memory may be given back. What they hold stays.
  virtual void release(std::size_t offset, std::size_t size) const = 0;
};

/// An entry that is being made, of a size known beforehand. Bytes may be filled in any order, from several threads, each stretch by one.
/// What was marked done survives the process: whoever creates the same entry again finds it done. Destroying a draft keeps it so.
class CacheDraft {
 public:
  virtual ~CacheDraft() = default;
  virtual std::span<std::byte> bytes() = 0;
  /// The parts are equal stretches of `part_bytes` but for the last.
  /// A part that is not done holds anything at all.
  virtual bool done(std::size_t part) const = 0;
  /// The part is complete, and its bytes stay as they are.
  virtual void mark_done(std::size_t part) = 0;
  /// This part's memory may be given back; what it holds stays.
  virtual void release(std::size_t part) = 0;
  /// Every part is done: the entry is there for good, under its name at once; where the disk refuses it, it serves this process alone.
  /// Throws std::logic_error where a part is not done.
  virtual std::shared_ptr<const CacheEntry> finish() = 0;
};

/// A kind ("weather", "crop") and a text; equal texts mean equal bytes. The text begins with the version of the layout.
struct CacheKey {
  std::string kind, made_from;
};

class Cache {
 public:
  virtual ~Cache() = default;
  /// The entry, or nullptr where there is none (or one of another length than it says: that one is removed).
  virtual std::shared_ptr<const CacheEntry> find(const CacheKey& key) = 0;
  /// A draft of `bytes` bytes (> 0) in parts of `part_bytes`. nullptr where the cache cannot take it (read-only, no room, larger than its
  /// limit): the caller then keeps the result in memory. Two processes that make one entry at once do not disturb each other.
  virtual std::unique_ptr<CacheDraft> create(const CacheKey& key, std::size_t bytes, std::size_t part_bytes) = 0;
  /// SHA-256 of a file's (or folder's) bytes, remembered as long as the file's size and times stay. Throws InputError where it cannot be
  /// read.
  virtual std::string digest(const std::string& file) = 0;
};

}  // namespace rickyard
