#pragma once
// What is removed from the cache's folder, and when.
#include <cstdint>
#include <string_view>

#include "io/file_cache_folder.h"

namespace rickyard {

/// Removes entries and drafts of another layout, and what killed processes left that nobody can go on with. Drafts in use stay.
void tidy(CacheFolder& folder);

/// Removes entries, and drafts that nobody is making, least recently used first, until `bytes` more fit under the folder's limit; the
/// draft of this name is about to be gone on with: it is neither counted nor removed. False, with words, where they do not fit; nothing
/// is removed then.
bool make_room(CacheFolder& folder, std::uint64_t bytes, std::string_view own_draft);

}  // namespace rickyard
