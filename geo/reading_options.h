#pragma once
// How a season's rasters are read.
#include <cstddef>

#include "planner/base/cache.h"

namespace rickyard {

struct ReadingOptions {
  int threads = 0;  // 0 = all cores; the result does not depend on it
  /// Bounds the buffers of packing where a cache takes the archive: cells are then read in slabs of whole block rows, and a slab takes at
  /// most half of this, tiles on their way a quarter. One block of a file, or one row of cells of the grid, is the least that is held,
  /// whatever the bound. GDAL's own block cache takes up to 64 MB beside it, land, soils and regions what they need. Without a cache the
  /// whole archive lies in memory. The result does not depend on it.
  std::size_t memory_bytes = std::size_t{1} << 30;
  /// What is kept between runs; nullptr: nothing. Only readings without an error are kept.
  Cache* cache = nullptr;
};

}  // namespace rickyard
