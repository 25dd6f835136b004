#pragma once
// How an entry lies in its file. All numbers in the byte order of the machine, which a mark tells:
//
//     0   8  "RICKYARD"
//     8   4  0x01020304
//    12   4  version of this layout
//    16   8  bytes of the payload
//    24   8  bytes of a part
//    32   8  bytes of the kind
//    40   8  bytes of made_from
//    48      kind, made_from, zeros up to a multiple of 8                                      <- "the head" ends here
//         8  checksum of the table, seeded with that of the head; not yet set in a draft
//            the table: a checksum for each part, seeded with the part's index; 0 where the part is not done
//            zeros up to a multiple of 4096
//            the payload, and the file ends with it
//
// A checksum is XXH3 with 64 bits, and 1 where that gives 0.
#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <stdexcept>
#include <string>

#include "planner/base/cache.h"

namespace rickyard {

constexpr std::array<char, 8> kCacheMagic = {'R', 'I', 'C', 'K', 'Y', 'A', 'R', 'D'};
constexpr std::uint32_t kCacheByteOrder = 0x01020304;
constexpr std::uint32_t kCacheVersion = 1;
/// Magic, byte order and version: these stand in every version of the layout.
constexpr std::size_t kCacheStampBytes = 16;

std::uint64_t cache_checksum(std::span<const std::byte> bytes, std::uint64_t seed);

struct EntryLayout {
  /// payload_bytes and part_bytes are at least 1 and below 2^56; throws std::length_error otherwise.
  EntryLayout(const CacheKey& key, std::uint64_t payload_bytes, std::uint64_t part_bytes);

  std::string head;
  std::size_t payload_bytes, part_bytes, parts;
  std::size_t table_sum_offset, table_offset, payload_offset, file_bytes;

  std::size_t part_offset(std::size_t part) const { return payload_offset + part * part_bytes; }
  std::size_t part_size(std::size_t part) const { return part + 1 < parts ? part_bytes : payload_bytes - part * part_bytes; }

  // Of a mapped file of this layout. Threads may work on different parts at once.
  /// Computed from the bytes there.
  std::uint64_t table_sum(std::span<const std::byte> file) const;
  std::uint64_t part_sum(std::span<const std::byte> file, std::size_t part) const;
  /// As the table says; 0: the part is not done.
  std::uint64_t kept_sum(std::span<const std::byte> file, std::size_t part) const;
  void keep_sum(std::span<std::byte> file, std::size_t part, std::uint64_t sum) const;
  void seal_table(std::span<std::byte> file) const;
};

/// Why a file is not the entry that its name promises.
struct NotTaken : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// Throws NotTaken where the first bytes are not those of this layout on this machine.
void check_stamp(std::span<const std::byte> stamp);
/// The layout of a file that holds all of this entry. Throws NotTaken. The parts are not checked.
EntryLayout read_layout(const CacheKey& key, std::span<const std::byte> file);

}  // namespace rickyard
