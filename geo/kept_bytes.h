#pragma once
// Small results kept whole in the cache.
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "planner/base/cache.h"

namespace rickyard {

/// All bytes of an entry, checked; nullopt where there is none, or it was damaged (it is then gone).
std::optional<std::vector<std::byte>> load_bytes(Cache& cache, const CacheKey& key);
/// Keeps them. Nothing is kept where the cache cannot take them.
void keep_bytes(Cache& cache, const CacheKey& key, std::span<const std::byte> bytes);

}  // namespace rickyard
