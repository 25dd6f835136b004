#pragma once
// A small season made on the spot: rasters and regions in a folder of their own, removed afterwards.
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "geo/geometry.h"
#include "geo/read_geography.h"

namespace rickyard::test {

class TemporaryFolder {
 public:
  TemporaryFolder();
  ~TemporaryFolder();
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }
  std::string operator/(const std::string& name) const { return (path_ / name).string(); }

 private:
  std::filesystem::path path_;
};

/// value(band, row, column), all 0-based, row 0 the northernmost.
using Field = std::function<double(int, int, int)>;

/// A GeoTIFF. South-up: the same field stored bottom row first.
struct BandRaster {
  int columns = 4, rows = 3, bands = 3;
  double west = -3, north = 57, width = 0.1, height = 0.1, skew = 0;
  std::string crs = "EPSG:4326", unit = "mm";
  std::optional<double> fill, scale, offset;
  bool south_up = false, pixel_interleaved = false, integers = false;
  Field value = [](int, int, int) { return 1.0; };
};
void write_bands(const std::string& path, const BandRaster& raster);

struct CubeVariable {
  std::string name = "rain", unit = "mm";
  std::optional<double> fill, scale, offset;
  bool integers = false;
  Field value = [](int, int, int) { return 1.0; };
};
/// A NetCDF-4 file (or a Zarr folder) on a CF time axis, latitudes from south to north unless north_first.
struct Cube {
  int columns = 4, rows = 3;
  double west = -3, north = 57, width = 0.1, height = 0.1;
  std::string crs = "EPSG:4326", time_unit = "days since 2001-01-01", calendar = "standard", chunks;
  std::vector<double> times = {0, 1, 2};
  bool north_first = false;
  std::string driver = "netCDF";
  std::vector<CubeVariable> variables = {CubeVariable{}};
};
void write_cube(const std::string& path, const Cube& cube);

struct TestRegion {
  std::string id;
  MultiPolygon shape;
  bool null_id = false;
};
Ring rectangle(double west, double south, double east, double north);
/// A GeoPackage with fields region (text) and name; crs empty: no reference system.
void write_regions(const std::string& path, const std::vector<TestRegion>& regions, const std::string& crs = "EPSG:4326");
void write_text(const std::string& path, const std::string& text);

/// Regions "north" and "south" on a 4 x 3 grid from 1 to 3 January 2001, rain 1 mm, 2 to 12 C, one loam.
/// Change what the test is about, then read.
struct Scene {
  Scene();
  TemporaryFolder folder;
  Season season;
  BandRaster rain, tmin, tmax;
  std::vector<TestRegion> regions;
  std::string regions_crs = "EPSG:4326";
  /// Writes the rasters and regions above.
  void write() const;
  GeoReading read() const;
  /// write, read, and all problems as lines.
  std::string problems() const;
};
std::string lines(const std::vector<Problem>& problems);
Season empty_season();

}  // namespace rickyard::test
