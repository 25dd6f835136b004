#include "geo/weather_packed.h"

#include <algorithm>
#include <array>

namespace rickyard {
namespace {

constexpr int kLanes = WeatherArchive::kBlockCells;
constexpr std::size_t kPartBytes = 1u << 20;  // about; small enough to wait in memory, large enough to be written at once

// Calls take(array) for each array of an archive, const or not, in the order of the layout.
template <typename Archive, typename Take>
void each_array(Archive& archive, const Take& take) {
  take(archive.rain_cmm);
  take(archive.tmin_cc);
  take(archive.tmax_cc);
  take(archive.wind_cms);
  take(archive.vapour_pa);
  take(archive.radiation_cmj);
  take(archive.et0_cmm);
}

// Signed and unsigned numbers of one width may be read as one another.
const std::uint16_t* bits(const std::uint16_t* values) { return values; }
const std::uint16_t* bits(const std::int16_t* values) { return reinterpret_cast<const std::uint16_t*>(values); }

class EntryPages final : public WeatherPages {
 public:
  EntryPages(std::shared_ptr<const CacheEntry> entry, PackedLayout layout) : entry_(std::move(entry)), layout_(std::move(layout)) {}

  void require(int first_cell, int cells) const override {
    each_stretch(first_cell, cells, [&](std::size_t offset, std::size_t bytes) { entry_->require(offset, bytes); });
  }
  void release(int first_cell, int cells) const override {
    each_stretch(first_cell, cells, [&](std::size_t offset, std::size_t bytes) { entry_->release(offset, bytes); });
  }

 private:
  template <typename Take>
  void each_stretch(int first_cell, int cells, const Take& take) const {
    if (cells <= 0) return;
    const std::size_t block_bytes = layout_.block_values() * sizeof(std::uint16_t);
    const auto first = static_cast<std::size_t>(first_cell / kLanes), end = static_cast<std::size_t>((first_cell + cells - 1) / kLanes) + 1;
    for (std::size_t a = 0; a < layout_.count(); ++a)
      take(layout_.part(a, 0) * layout_.part_bytes() + first * block_bytes, (end - first) * block_bytes);
  }
  std::shared_ptr<const CacheEntry> entry_;
  PackedLayout layout_;
};

}  // namespace

PackedLayout::PackedLayout(std::vector<char> arrays, int capacity, int days)
    : arrays_(std::move(arrays)), capacity_(capacity), days_(days) {
  count_ = static_cast<std::size_t>(std::count(arrays_.begin(), arrays_.end(), 1));
  const int all_blocks = std::max(1, (capacity + kLanes - 1) / kLanes);
  const std::size_t block_bytes = std::max<std::size_t>(1, block_values() * sizeof(std::uint16_t));
  blocks_ = static_cast<int>(std::clamp<std::size_t>(kPartBytes / block_bytes, 1, static_cast<std::size_t>(all_blocks)));
  parts_ = static_cast<std::size_t>((all_blocks + blocks_ - 1) / blocks_);
}

std::vector<char> PackedLayout::arrays_of(const WeatherArchive& archive) {
  std::vector<char> out;
  each_array(archive, [&](const auto& values) { out.push_back(values.empty() ? 0 : 1); });
  return out;
}

WeatherArchive view_of(std::shared_ptr<const CacheEntry> entry, const PackedLayout& layout, int cells, Date first_day) {
  WeatherArchive out;
  out.cells = cells;
  out.days = layout.days();
  out.first_day = first_day;
  const std::byte* bytes = entry->bytes().data();
  std::size_t slot = 0, there = 0;
  each_array(out, [&]<typename T>(WeatherValues<T>& values) {
    if (layout.arrays()[slot++] == 0) return;
    const auto* first = reinterpret_cast<const T*>(bytes + layout.part(there++, 0) * layout.part_bytes());
    values = WeatherValues<T>::view({first, out.size()});
  });
  out.pages = std::make_shared<EntryPages>(std::move(entry), layout);
  return out;
}

DraftPacker::DraftPacker(CacheDraft& draft, PackedLayout layout) : draft_(draft), layout_(std::move(layout)) {
  waiting_.assign(layout_.count() * layout_.part_bytes() / sizeof(std::uint16_t), 0);
}

std::span<std::uint16_t> DraftPacker::block(std::size_t array, int block_of_part) {
  const std::size_t values = layout_.block_values();
  return {
      waiting_.data() + (array * static_cast<std::size_t>(layout_.blocks_per_part()) + static_cast<std::size_t>(block_of_part)) * values,
      values};
}

void DraftPacker::append(const WeatherArchive& from, const std::vector<int>& positions) {
  for (std::size_t next = 0; next < positions.size();) {
    const int lane = waiting_cells_ % kLanes, at_block = waiting_cells_ / kLanes;
    const std::size_t n = std::min(positions.size() - next, static_cast<std::size_t>(kLanes - lane));
    // A whole block of the source is a whole block here.
    const int first = positions[next];
    const bool whole = n == kLanes && first % kLanes == 0 && positions[next + n - 1] == first + kLanes - 1;
    std::size_t array = 0;
    each_array(from, [&](const auto& values) {
      if (values.empty()) return;
      const auto to = block(array++, at_block);
      const std::uint16_t* source = bits(values.data());
      if (whole) {
        std::copy_n(source + from.at(0, first), to.size(), to.begin());
        return;
      }
      for (std::size_t i = 0; i < n; ++i) {
        const int cell = positions[next + i];
        const std::uint16_t* lane_source = source + from.at(0, cell);
        const std::size_t stride = from.stride(cell);
        std::uint16_t* lane_to = to.data() + lane + i;
        for (int day = 0; day < layout_.days(); ++day)
          lane_to[static_cast<std::size_t>(day) * kLanes] = lane_source[static_cast<std::size_t>(day) * stride];
      }
    });
    waiting_cells_ += static_cast<int>(n);
    next += n;
    if (waiting_cells_ == layout_.cells_per_part()) write_part();
  }
}

void DraftPacker::write_part() {
  const std::size_t values = layout_.part_bytes() / sizeof(std::uint16_t);
  for (std::size_t a = 0; a < layout_.count(); ++a) {
    const std::size_t part = layout_.part(a, part_);
    if (!draft_.done(part)) {
      const auto from = std::as_bytes(std::span(waiting_.data() + a * values, values));
      std::copy(from.begin(), from.end(), draft_.bytes().begin() + static_cast<std::ptrdiff_t>(part * layout_.part_bytes()));
      draft_.mark_done(part);
    }
    draft_.release(part);
  }
  std::fill(waiting_.begin(), waiting_.end(), std::uint16_t{0});
  waiting_cells_ = 0;
  ++part_;
}

void DraftPacker::end() {
  // The last block of an archive is as narrow as its cells are few.
  const int width = waiting_cells_ % kLanes;
  for (std::size_t a = 0; width > 0 && a < layout_.count(); ++a) {
    const auto values = block(a, waiting_cells_ / kLanes);
    const auto w = static_cast<std::size_t>(width);
    for (std::size_t day = 1; day < static_cast<std::size_t>(layout_.days()); ++day)
      std::copy_n(values.begin() + static_cast<std::ptrdiff_t>(day * kLanes), w, values.begin() + static_cast<std::ptrdiff_t>(day * w));
    std::fill(values.begin() + static_cast<std::ptrdiff_t>(w * static_cast<std::size_t>(layout_.days())), values.end(), std::uint16_t{0});
  }
  while (part_ < layout_.parts()) write_part();
}

void DraftPacker::save(ByteWriter& to) const {
  to.put(part_);
  to.put(waiting_cells_);
  to.put(waiting_);
}

bool DraftPacker::restore(ByteReader& from) {
  std::size_t part = 0;
  int cells = 0;
  std::vector<std::uint16_t> waiting;
  from.get(part);
  from.get(cells);
  from.get(waiting);
  if (waiting.size() != waiting_.size() || part < part_ || part > layout_.parts()) return false;
  for (std::size_t a = 0; a < layout_.count(); ++a)
    for (std::size_t p = part_; p < part; ++p)
      if (!draft_.done(layout_.part(a, p))) return false;
  part_ = part;
  waiting_cells_ = cells;
  waiting_ = std::move(waiting);
  return true;
}

}  // namespace rickyard
