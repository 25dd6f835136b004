// Daily rain of every cell, read and packed, beside one library call for the whole array and the bytes of the file.
#include <gdal_priv.h>

#include <cstdio>
#include <cstdlib>
#include <numeric>
#include <set>

#include "geo/gdal_words.h"
#include "geo/weather.h"
#include "inputs.h"

using namespace rickyard;
using namespace rickyard::bench;

namespace {

struct Case {
  std::string name, file;
  bool cube = false;
};

Season season_of(const Case& what) {
  Season season{ParameterSet(std::span<const ParameterSpec>{})};
  RasterSource source;
  source.path = what.file;
  if (!what.cube) {
    source.unit = "mm";
    source.dates = "dates.csv";
  }
  season.rasters["rain"] = source;
  return season;
}

void pack(const Folder& folder, const Case& what, int threads) {
  InputLog log(folder.path());
  const auto stacks = open_weather(season_of(what), log);
  const RasterStack* leader = stacks.leader();
  if (leader == nullptr) {
    for (const auto& problem : log.problems) std::fprintf(stderr, "%s\n", to_text(problem).c_str());
    std::exit(1);
  }
  CellList cells(static_cast<std::size_t>(leader->grid().rows) * static_cast<std::size_t>(leader->grid().columns));
  std::iota(cells.begin(), cells.end(), 0);
  Progress progress;
  const auto reading =
      read_weather(stacks, cells, std::vector<char>(cells.size(), 1), "", {threads, std::size_t{1} << 30, nullptr}, progress, log);
  if (!reading.daily || reading.daily->rain_cmm.size() != cells.size() * static_cast<std::size_t>(leader->bands())) std::exit(1);
}

// The whole array as floats, opening included.
void one_call(const std::string& path, bool cube) {
  const GdalWords quiet;
  if (!cube) {
    const std::unique_ptr<GDALDataset> dataset(GDALDataset::Open(path.c_str(), GDAL_OF_RASTER));
    const int columns = dataset->GetRasterXSize(), rows = dataset->GetRasterYSize(), bands = dataset->GetRasterCount();
    std::vector<float> values(static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows) * static_cast<std::size_t>(bands));
    if (dataset->RasterIO(GF_Read, 0, 0, columns, rows, values.data(), columns, rows, GDT_Float32, bands, nullptr, 0, 0, 0, nullptr) !=
        CE_None)
      std::exit(1);
    return;
  }
  const std::unique_ptr<GDALDataset> dataset(GDALDataset::Open(path.c_str(), GDAL_OF_MULTIDIM_RASTER));
  const auto array = dataset->GetRootGroup()->OpenMDArray("rain");
  std::vector<float> values(static_cast<std::size_t>(array->GetTotalElementsCount()));
  std::vector<GUInt64> start(3, 0);
  std::vector<std::size_t> count;
  for (const auto& dimension : array->GetDimensions()) count.push_back(static_cast<std::size_t>(dimension->GetSize()));
  if (!array->Read(start.data(), count.data(), nullptr, nullptr, GDALExtendedDataType::Create(GDT_Float32), values.data())) std::exit(1);
}

void read_all_bytes(const std::string& path) {
  if (!std::filesystem::is_directory(path)) return read_bytes(path);
  for (const auto& entry : std::filesystem::recursive_directory_iterator(path))
    if (entry.is_regular_file()) read_bytes(entry.path().string());
}

void compare(const Folder& folder, const Case& what, int rounds) {
  const std::string path = folder / what.file;
  std::vector<double> read2, library, one, two;
  for (int round = 0; round < rounds; ++round) {
    read2.push_back(seconds([&] { read_all_bytes(path); }));
    library.push_back(seconds([&] { one_call(path, what.cube); }));
    one.push_back(seconds([&] { pack(folder, what, 1); }));
    two.push_back(seconds([&] { pack(folder, what, 2); }));
  }
  say(what.name + "_one_library_call_s", median(library));
  say(what.name + "_packed_one_thread_over_library", median(one) / median(library));
  say(what.name + "_packed_two_threads_over_library", median(two) / median(library));
  say(what.name + "_packed_two_threads_over_read2", median(two) / median(read2));
}

}  // namespace

int main(int argc, char** argv) {
  const auto set = settings(argc, argv, {{"days", 3650}, {"size", 200}, {"rounds", 3}, {"cpu", 0}});
  const int days = static_cast<int>(set.at("days")), size = static_cast<int>(set.at("size")), rounds = static_cast<int>(set.at("rounds"));
  if (set.at("cpu") != 0) set_clock(Clock::processor);
  const Folder folder;
  make_dates(folder / "dates.csv", days);
  make_bands(folder / "raw.tif", size, size, days, "NONE");
  compare(folder, {"tiff_raw", "raw.tif", false}, rounds);
  make_bands(folder / "deflate.tif", size, size, days, "DEFLATE");
  compare(folder, {"tiff_deflate", "deflate.tif", false}, rounds);
  make_cube(folder / "chunked.nc", "netCDF", size, size, days, "365,50,50");
  compare(folder, {"netcdf_chunked", "chunked.nc", true}, rounds);
  make_cube(folder / "days.nc", "netCDF", size, size, days, "1," + std::to_string(size) + "," + std::to_string(size));
  compare(folder, {"netcdf_day_by_day", "days.nc", true}, rounds);
  make_cube(folder / "chunked.zarr", "Zarr", size, size, days, "365,50,50");
  compare(folder, {"zarr_chunked", "chunked.zarr", true}, rounds);
}
