// Reading a stack tile by tile, on one thread or several.
#include <algorithm>
#include <atomic>
#include <cmath>
#include <condition_variable>
#include <deque>
#include <exception>
#include <limits>
#include <mutex>
#include <thread>

#include "geo/raster_stack.h"
#include "planner/base/blocks.h"

namespace rickyard {
namespace {

/// Tiles on their way from the one thread that reads to those that work; the reader waits where all buffers are in use.
class TileQueue {
 public:
  struct Loaded {
    StoredTile tile;
    TileBuffer buffer;
  };
  explicit TileQueue(int buffers) : buffers_(static_cast<std::size_t>(buffers)) {}

  TileBuffer free_buffer() {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [&] { return !buffers_.empty(); });
    auto buffer = std::move(buffers_.back());
    buffers_.pop_back();
    return buffer;
  }
  void give_back(TileBuffer buffer) {
    const std::lock_guard lock(mutex_);
    buffers_.push_back(std::move(buffer));
    changed_.notify_all();
  }
  void put(Loaded loaded) {
    const std::lock_guard lock(mutex_);
    waiting_.push_back(std::move(loaded));
    changed_.notify_all();
  }
  void close() {
    const std::lock_guard lock(mutex_);
    closed_ = true;
    changed_.notify_all();
  }
  /// nullopt: nothing will come any more.
  std::optional<Loaded> take() {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [&] { return closed_ || !waiting_.empty(); });
    if (waiting_.empty()) return std::nullopt;
    Loaded loaded = std::move(waiting_.front());
    waiting_.pop_front();
    return loaded;
  }

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  std::vector<TileBuffer> buffers_;
  std::deque<Loaded> waiting_;
  bool closed_ = false;
};

int settled_threads(int threads) { return threads > 0 ? threads : std::max(1, static_cast<int>(std::thread::hardware_concurrency())); }

using Load = std::function<StoredTile(std::size_t, TileBuffer&)>;
using Work = std::function<void(const StoredTile&)>;

// The calling thread reads, the others work.
void read_ahead(std::size_t n, int threads, const Load& load, const Work& work) {
  TileQueue queue(threads + 1);
  std::mutex failed_mutex;
  std::exception_ptr failed;
  const auto keep_failure = [&] {
    const std::lock_guard lock(failed_mutex);
    if (!failed) failed = std::current_exception();
  };
  {
    std::vector<std::jthread> crew;
    for (int t = 1; t < threads; ++t)
      crew.emplace_back([&] {
        while (auto loaded = queue.take()) {
          try {
            work(loaded->tile);
          } catch (...) {
            keep_failure();
          }
          queue.give_back(std::move(loaded->buffer));
        }
      });
    try {
      for (std::size_t i = 0; i < n; ++i) {
        TileQueue::Loaded loaded{{}, queue.free_buffer()};
        loaded.tile = load(i, loaded.buffer);
        queue.put(std::move(loaded));
      }
    } catch (...) {
      keep_failure();
    }
    queue.close();
  }
  if (failed) std::rethrow_exception(failed);
}

// Every thread reads and works.
void read_apart(std::size_t n, int threads, const Load& load, const Work& work) {
  std::mutex mutex;
  std::vector<TileBuffer> buffers;
  std::atomic<std::size_t> first_failed{n};
  for_each_block(static_cast<int>(n), threads, [&](int block) {
    const auto i = static_cast<std::size_t>(block);
    if (i > first_failed.load()) return;
    TileBuffer buffer;
    {
      const std::lock_guard lock(mutex);
      if (!buffers.empty()) {
        buffer = std::move(buffers.back());
        buffers.pop_back();
      }
    }
    try {
      work(load(i, buffer));
    } catch (...) {
      std::size_t before = first_failed.load();
      while (i < before && !first_failed.compare_exchange_weak(before, i)) {
      }
      throw;
    }
    const std::lock_guard lock(mutex);
    buffers.push_back(std::move(buffer));
  });
}

}  // namespace

Conversion RasterStack::conversion(const Part& part, int band) const {
  const double missing = std::numeric_limits<double>::quiet_NaN();
  Conversion out;
  out.scale = part.scale.value_or(1);
  out.offset = part.offset.value_or(0);
  out.fill = part.fill.value_or(missing);
  out.single = part.file->info().single_precision && std::abs(out.fill) <= static_cast<double>(std::numeric_limits<float>::max());
  out.factor = unit_.factor;
  out.shift = unit_.offset;
  if (unit_.per_day) {
    const ModelDate& date = dates_[static_cast<std::size_t>(band)];
    const int days = calendar_ == ModelCalendar::days_360   ? 30
                     : calendar_ == ModelCalendar::days_365 ? days_in({2001, date.month})
                                                            : days_in({date.year, date.month});
    out.factor *= days;
  }
  return out;
}

std::vector<RasterStack::PartTile> RasterStack::tiles_of(const Window& window, long long tile_values) const {
  std::vector<PartTile> out;
  for (const auto& part : parts_)
    for (const auto& shape : part.file->tiles(window, tile_values)) out.push_back({&part, shape});
  return out;
}

StoredTile RasterStack::read_tile(const PartTile& at, TileBuffer& buffer) const {
  StoredTile tile;
  static_cast<TileShape&>(tile) = at.shape;
  tile.band += at.part->first_band;
  const StoredType type = at.part->file->info().stored;
  tile.value_bytes = bytes_of(type);
  tile.convert = converter_of(type);
  std::byte* values = buffer.room_for(tile.size() * tile.value_bytes);
  at.part->file->read_tile(at.shape, values);
  tile.values = values;
  for (int b = 0; b < tile.bands; ++b) tile.conversions.push_back(conversion(*at.part, tile.band + b));
  return tile;
}

void RasterStack::each_tile(const Window& window, const TileReading& reading, const TileWork& work) const {
  const auto tiles = tiles_of(window, reading.tile_values);
  const auto total = static_cast<long long>(tiles.size());
  const int threads = static_cast<int>(std::min<long long>(settled_threads(reading.threads), std::max<long long>(1, total)));
  const bool apart = std::all_of(parts_.begin(), parts_.end(), [](const Part& part) { return part.file->concurrent(); });
  std::atomic<long long> done{0};
  const auto load = [&](std::size_t i, TileBuffer& buffer) { return read_tile(tiles[i], buffer); };
  const auto counted = [&](const StoredTile& tile) { work(tile, done++, total); };
  if (threads == 1) {
    TileBuffer buffer;
    for (std::size_t i = 0; i < tiles.size(); ++i) counted(load(i, buffer));
  } else if (apart) {
    read_apart(tiles.size(), threads, load, counted);
    for (const auto& part : parts_) part.file->rest();
  } else {
    read_ahead(tiles.size(), threads, load, counted);
  }
}

void RasterStack::read(const Window& window, const TileSink& sink) const {
  std::vector<double> values;
  each_tile(window, {}, [&](const StoredTile& stored, long long, long long) {
    values.resize(stored.size());
    const std::size_t plane = stored.plane();
    for (std::size_t b = 0; b < stored.conversions.size(); ++b)
      stored.convert(stored.values + b * plane * stored.value_bytes, plane, stored.conversions[b], values.data() + b * plane);
    Tile tile;
    static_cast<TileShape&>(tile) = stored;
    tile.values = values.data();
    sink(tile);
  });
}

}  // namespace rickyard
