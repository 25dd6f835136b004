#include "io/file_cache_layout.h"

#include <xxhash.h>
#if defined(__x86_64__)
#include <xxh_x86dispatch.h>  // the same sums, by the widest instructions that the machine has
#endif

#include <cstring>

namespace rickyard {
namespace {

constexpr std::uint64_t kMostBytes = std::uint64_t{1} << 56U;
constexpr std::size_t kFixedBytes = 48, kSumBytes = sizeof(std::uint64_t), kPageBytes = 4096;
constexpr std::size_t kPayloadAt = 16, kPartAt = 24;
static_assert(sizeof(std::size_t) == sizeof(std::uint64_t), "entries are mapped whole");

std::size_t up_to(std::size_t n, std::size_t multiple) { return (n + multiple - 1) / multiple * multiple; }

template <class Number>
void append(std::string& text, Number number) {
  text.append(reinterpret_cast<const char*>(&number), sizeof number);
}

template <class Number>
Number number_at(std::span<const std::byte> bytes, std::size_t offset) {
  Number number;
  std::memcpy(&number, bytes.data() + offset, sizeof number);
  return number;
}

}  // namespace

std::uint64_t cache_checksum(std::span<const std::byte> bytes, std::uint64_t seed) {
  const std::uint64_t sum = XXH3_64bits_withSeed(bytes.data(), bytes.size(), seed);
  return sum == 0 ? 1 : sum;
}

EntryLayout::EntryLayout(const CacheKey& key, std::uint64_t payload, std::uint64_t part)
    : payload_bytes(payload), part_bytes(part), parts(0) {
  if (payload == 0 || part == 0 || payload > kMostBytes || part > kMostBytes) throw std::length_error("an entry of this size cannot be");
  parts = (payload - 1) / part + 1;
  head.append(kCacheMagic.data(), kCacheMagic.size());
  append(head, kCacheByteOrder);
  append(head, kCacheVersion);
  append(head, payload);
  append(head, part);
  append(head, std::uint64_t{key.kind.size()});
  append(head, std::uint64_t{key.made_from.size()});
  head += key.kind + key.made_from;
  head.resize(up_to(head.size(), kSumBytes), '\0');
  table_sum_offset = head.size();
  table_offset = table_sum_offset + kSumBytes;
  payload_offset = up_to(table_offset + parts * kSumBytes, kPageBytes);
  file_bytes = payload_offset + payload_bytes;
}

std::uint64_t EntryLayout::table_sum(std::span<const std::byte> file) const {
  const std::uint64_t seed = cache_checksum(std::as_bytes(std::span(head)), 0);
  return cache_checksum(file.subspan(table_offset, parts * kSumBytes), seed);
}

std::uint64_t EntryLayout::part_sum(std::span<const std::byte> file, std::size_t part) const {
  return cache_checksum(file.subspan(part_offset(part), part_size(part)), part);
}

std::uint64_t EntryLayout::kept_sum(std::span<const std::byte> file, std::size_t part) const {
  return number_at<std::uint64_t>(file, table_offset + part * kSumBytes);
}

void EntryLayout::keep_sum(std::span<std::byte> file, std::size_t part, std::uint64_t sum) const {
  std::memcpy(file.data() + table_offset + part * kSumBytes, &sum, kSumBytes);
}

void EntryLayout::seal_table(std::span<std::byte> file) const {
  const std::uint64_t sum = table_sum(file);
  std::memcpy(file.data() + table_sum_offset, &sum, kSumBytes);
}

void check_stamp(std::span<const std::byte> stamp) {
  if (stamp.size() < kCacheStampBytes) throw NotTaken("is cut short");
  if (std::memcmp(stamp.data(), kCacheMagic.data(), kCacheMagic.size()) != 0) throw NotTaken("does not begin as an entry does");
  if (number_at<std::uint32_t>(stamp, 8) != kCacheByteOrder) throw NotTaken("comes from a machine of another byte order");
  const auto version = number_at<std::uint32_t>(stamp, 12);
  if (version != kCacheVersion)
    throw NotTaken("has layout " + std::to_string(version) + ", this program has " + std::to_string(kCacheVersion));
}

EntryLayout read_layout(const CacheKey& key, std::span<const std::byte> file) {
  check_stamp(file);
  if (file.size() < kFixedBytes) throw NotTaken("is cut short");
  const auto payload = number_at<std::uint64_t>(file, kPayloadAt), part = number_at<std::uint64_t>(file, kPartAt);
  if (payload == 0 || payload > kMostBytes || part == 0 || part > kMostBytes) throw NotTaken("is damaged in its head");
  EntryLayout layout(key, payload, part);
  // The head first: with it the lengths that the file claims are known to be those that were written.
  if (file.size() < layout.table_offset) throw NotTaken("is cut short");
  if (std::memcmp(file.data(), layout.head.data(), layout.head.size()) != 0) throw NotTaken("is damaged in its head, or another entry");
  if (file.size() < layout.file_bytes) throw NotTaken("is cut short");
  if (file.size() > layout.file_bytes) throw NotTaken("is longer than its head says, or damaged there");
  if (number_at<std::uint64_t>(file, layout.table_sum_offset) != layout.table_sum(file))
    throw NotTaken("is damaged in its head or its checksums");
  return layout;
}

}  // namespace rickyard
