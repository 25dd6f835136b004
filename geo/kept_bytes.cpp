#include "geo/kept_bytes.h"

#include <algorithm>
#include <system_error>

namespace rickyard {

std::optional<std::vector<std::byte>> load_bytes(Cache& cache, const CacheKey& key) {
  const auto entry = cache.find(key);
  if (!entry) return std::nullopt;
  const auto bytes = entry->bytes();
  try {
    entry->require(0, bytes.size());
  } catch (const DamagedEntry&) {
    return std::nullopt;
  }
  return std::vector<std::byte>(bytes.begin(), bytes.end());
}

void keep_bytes(Cache& cache, const CacheKey& key, std::span<const std::byte> bytes) {
  if (bytes.empty()) return;
  try {
    const auto draft = cache.create(key, bytes.size(), bytes.size());
    if (!draft) return;
    if (!draft->done(0)) {
      std::copy(bytes.begin(), bytes.end(), draft->bytes().begin());
      draft->mark_done(0);
    }
    draft->finish();
  } catch (const std::system_error&) {  // a full disk: made anew next time
  }
}

}  // namespace rickyard
