#pragma once
// GeoTIFF files of the demo, laid out for reading band by band.
#include <cstdint>
#include <string>
#include <vector>

#include "demo-regions/grid.h"

namespace rickyard::demo {

inline constexpr std::int16_t kNoData = -32768;

void register_drivers();

struct RasterLook {
  std::string unit;                 // written as the band's unit; may be empty
  double scale = 1;                 // stored value x scale = value in `unit`
  std::vector<std::string> labels;  // one per band, or empty
};

/// Writes `bands` layers of grid cells as 16-bit integers. values: [band][cell], cell fastest, kNoData where nothing is known.
/// The same bytes for the same values. Throws std::runtime_error naming the file.
void write_raster(const std::string& path, const Grid& grid, const std::vector<std::int16_t>& values, int bands, const RasterLook& look);

}  // namespace rickyard::demo
