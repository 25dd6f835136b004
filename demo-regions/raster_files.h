#pragma once
// GeoTIFF files of the demo, laid out for reading band by band.
#include <cstdint>
#include <memory>
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

/// How a file lies on disk, band by band. strip_rows: rows of a strip, which can be read without the others.
struct RasterLayout {
  int strip_rows = 0;   // 0: a whole band
  bool deflate = true;  // false: as it is, for the shortest reading
  int level = 6;        // of deflate
};

/// A file written band after band, so that only one band is held in memory. Throws std::runtime_error naming the file.
class RasterWriter {
 public:
  RasterWriter(std::string path, const Grid& grid, int bands, const RasterLook& look, const RasterLayout& layout);
  RasterWriter(RasterWriter&&) noexcept;
  ~RasterWriter();
  /// values: [cell], kNoData where nothing is known. band: 0-based, in rising order.
  void write(int band, const std::int16_t* values);
  /// Must be called: writing is done only when this returns.
  void close();

 private:
  struct File;
  std::unique_ptr<File> file_;
};

/// Writes `bands` layers of grid cells as 16-bit integers. values: [band][cell], cell fastest, kNoData where nothing is known.
/// The same bytes for the same values. Throws std::runtime_error naming the file.
void write_raster(const std::string& path, const Grid& grid, const std::vector<std::int16_t>& values, int bands, const RasterLook& look,
                  const RasterLayout& layout = {});

}  // namespace rickyard::demo
