#pragma once
// Inputs of the extraction benchmarks, made on the spot, and the clock.
#include <filesystem>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "geo/geometry.h"
#include "geo/grid.h"

namespace rickyard::bench {

/// A folder that is removed at the end.
class Folder {
 public:
  Folder();
  ~Folder();
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  const std::filesystem::path& path() const { return path_; }
  std::string operator/(const std::string& name) const { return (path_ / name).string(); }

 private:
  std::filesystem::path path_;
};

/// "size=10000 rounds=5" from the command line over these defaults; an unknown name ends the program.
std::map<std::string, long> settings(int argc, char** argv, std::map<std::string, long> defaults);

/// A float GeoTIFF by bands: smooth values from 0 to 20 with noise, in degrees from 10 E, 50 N, 0.001 degrees a cell. compress: NONE,
/// DEFLATE.
void make_bands(const std::string& path, int columns, int rows, int bands, const std::string& compress);
/// The same values as a chunked, compressed array; driver: netCDF or Zarr. chunks: "365,50,50".
void make_cube(const std::string& path, const std::string& driver, int columns, int rows, int bands, const std::string& chunks);
/// One date a line from 2001-01-01.
void make_dates(const std::string& path, int days);
float value_at(int band, int row, int column);

/// n polygons of `vertices` vertices with wavy outlines, on a raster of that many cells, none touching another.
std::vector<MultiPolygon> wiggly_regions(int n, int vertices, int columns, int rows);
/// As GeoJSON, for other programs.
void write_regions(const std::string& path, const std::vector<MultiPolygon>& regions);

/// Reads the file from its beginning to its end by read(2) in pieces of 1 MiB.
void read_bytes(const std::string& path);
/// What seconds() counts: time on the clock, or time of all processor cores, which a busy machine disturbs less.
enum class Clock { wall, processor };
void set_clock(Clock clock);
double seconds(const std::function<void()>& work);
double median(std::vector<double> values);
void say(const std::string& name, double value);

}  // namespace rickyard::bench
