#pragma once
// How an archive lies in the cache, and how it gets there a part at a time.
#include <memory>
#include <span>
#include <vector>

#include "geo/byte_writer.h"
#include "geo/weather.h"

namespace rickyard {

/// The arrays of a WeatherArchive one after the other, each in whole parts; a part holds `blocks` blocks of 16 cells of one array. There is
/// room for `capacity` cells; where fewer turn out to be complete, the rest of each array is zero.
class PackedLayout {
 public:
  /// arrays: [array] 1 where it is there; in the order rain, tmin, tmax, wind, vapour, radiation, ET0.
  PackedLayout(std::vector<char> arrays, int capacity, int days);

  static std::vector<char> arrays_of(const WeatherArchive& archive);
  const std::vector<char>& arrays() const { return arrays_; }
  int capacity() const { return capacity_; }
  int days() const { return days_; }
  /// Arrays that are there.
  std::size_t count() const { return count_; }
  std::size_t block_values() const { return static_cast<std::size_t>(days_) * WeatherArchive::kBlockCells; }
  int blocks_per_part() const { return blocks_; }
  int cells_per_part() const { return blocks_ * WeatherArchive::kBlockCells; }
  std::size_t part_bytes() const { return static_cast<std::size_t>(blocks_) * block_values() * sizeof(std::uint16_t); }
  /// Of one array.
  std::size_t parts() const { return parts_; }
  std::size_t bytes() const { return count_ * parts_ * part_bytes(); }
  /// Of the n-th array that is there.
  std::size_t part(std::size_t array, std::size_t part_of_array) const { return array * parts_ + part_of_array; }

 private:
  std::vector<char> arrays_;
  int capacity_, days_, blocks_ = 1;
  std::size_t count_ = 0, parts_ = 0;
};

/// Views of the first `cells` cells of an entry.
WeatherArchive view_of(std::shared_ptr<const CacheEntry> entry, const PackedLayout& layout, int cells, Date first_day);

/// Fills a draft with cells in order. A part that is full is written, marked done and released; cells of a part that is not yet full wait
/// in memory. Throws std::system_error where the draft does.
class DraftPacker {
 public:
  DraftPacker(CacheDraft& draft, PackedLayout layout);

  /// Appends these cells (positions in `from`, ascending).
  void append(const WeatherArchive& from, const std::vector<int>& positions);
  /// No more cells: writes what waits and fills up with zeros.
  void end();
  int cells() const { return static_cast<int>(part_) * layout_.cells_per_part() + waiting_cells_; }

  /// What waits, and where; and back again, for a packing that was interrupted. restore is false, and changes nothing, where a part
  /// between here and there is not done.
  void save(ByteWriter& to) const;
  bool restore(ByteReader& from);

 private:
  void write_part();
  std::span<std::uint16_t> block(std::size_t array, int block_of_part);

  CacheDraft& draft_;
  PackedLayout layout_;
  std::vector<std::uint16_t> waiting_;  // [array][block of the part][day][cell of the block]
  int waiting_cells_ = 0;
  std::size_t part_ = 0;  // of each array: the one that waits
};

}  // namespace rickyard
