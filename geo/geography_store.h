#pragma once
// A finished reading as bytes, for the cache.
#include <filesystem>

#include "geo/byte_writer.h"
#include "geo/read_geography.h"
#include "geo/weather.h"

namespace rickyard {

/// Everything but the daily archive, of which only `packed` is written. Files inside the folder are written relative to it.
void put(ByteWriter& to, const GeoReading& reading, const PackedWeather& packed, const std::filesystem::path& folder);
/// Throws std::out_of_range where the bytes are not such a reading.
void get(ByteReader& from, GeoReading& reading, PackedWeather& packed, const std::filesystem::path& folder);

}  // namespace rickyard
