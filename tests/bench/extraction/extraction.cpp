// Area-weighted means of regions over rasters: coverage once, then one pass over the bytes of each band.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <memory>
#include <mutex>
#include <optional>

#include "geo/coverage.h"
#include "geo/raster_stack.h"
#include "inputs.h"

using namespace rickyard;
using namespace rickyard::bench;

namespace {

/// A stretch of one row that a region covers by one fraction.
struct Stretch {
  int region, column, count;
  double fraction;
};

/// Coverage of all regions by row.
class RowCoverage {
 public:
  RowCoverage(const std::vector<MultiPolygon>& regions, const GridDefinition& grid) : rows_(static_cast<std::size_t>(grid.rows)) {
    for (std::size_t i = 0; i < regions.size(); ++i)
      for (const auto& run : cell_coverage(regions[i], grid))
        rows_[static_cast<std::size_t>(run.row)].push_back({static_cast<int>(i), run.column, run.count, run.fraction});
  }
  const std::vector<Stretch>& row(int r) const { return rows_[static_cast<std::size_t>(r)]; }

 private:
  std::vector<std::vector<Stretch>> rows_;
};

struct Sum {
  double value = 0, weight = 0;
};

// Eight sums side by side, so that one addition need not wait for the one before.
constexpr int kLanes = 8;

void add(Sum& sum, const double* values, int n, double fraction) {
  std::array<double, kLanes> value{}, weight{};
  const auto take = [&](int i, std::size_t lane) {
    const bool there = values[i] == values[i];
    value[lane] += there ? values[i] : 0;
    weight[lane] += there ? 1 : 0;
  };
  int i = 0;
  for (; i + kLanes <= n; i += kLanes)
    for (int lane = 0; lane < kLanes; ++lane) take(i + lane, static_cast<std::size_t>(lane));
  for (; i < n; ++i) take(i, 0);
  for (std::size_t lane = 1; lane < kLanes; ++lane) {
    value[0] += value[lane];
    weight[0] += weight[lane];
  }
  sum.value += value[0] * fraction;
  sum.weight += weight[0] * fraction;
}

// A stretch is converted a piece at a time, which stays close to the core.
void add_stored(Sum& sum, const StoredTile& tile, const Conversion& conversion, std::size_t first, const Stretch& stretch) {
  std::array<double, 256> piece;
  for (int done = 0; done < stretch.count;) {
    const int n = std::min(stretch.count - done, static_cast<int>(piece.size()));
    tile.convert(tile.values + (first + static_cast<std::size_t>(stretch.column + done)) * tile.value_bytes, static_cast<std::size_t>(n),
                 conversion, piece.data());
    add(sum, piece.data(), n, stretch.fraction);
    done += n;
  }
}

// Where stretches are many and short the whole row is converted at once.
void add_row(Sum* sums, const StoredTile& tile, const Conversion& conversion, std::size_t first, const std::vector<Stretch>& stretches,
             std::vector<double>& row) {
  if (stretches.size() < row.size() / 50) {
    for (const auto& stretch : stretches) add_stored(sums[stretch.region], tile, conversion, first, stretch);
    return;
  }
  tile.convert(tile.values + first * tile.value_bytes, row.size(), conversion, row.data());
  for (const auto& stretch : stretches) {
    const double* values = row.data() + stretch.column;
    if (stretch.count > 1) {
      add(sums[stretch.region], values, stretch.count, stretch.fraction);
    } else if (*values == *values) {
      sums[stretch.region].value += *values * stretch.fraction;
      sums[stretch.region].weight += stretch.fraction;
    }
  }
}

/// Means [band][region]. Sums of a tile are kept apart and added in the order of tiles, so that threads change no bit.
std::vector<std::vector<double>> region_means(const RasterStack& stack, const RowCoverage& coverage, std::size_t regions, int threads) {
  struct TileSums {
    int band, row;
    std::vector<Sum> sums;  // [band of the tile][region]
  };
  std::vector<TileSums> parts;
  std::mutex mutex;
  TileReading reading;
  reading.threads = threads;
  reading.tile_values = 1 << 20;
  const GridDefinition& grid = stack.grid();
  stack.each_tile({0, grid.rows, 0, grid.columns}, reading, [&](const StoredTile& tile, long long, long long) {
    TileSums part{tile.band, tile.row, std::vector<Sum>(static_cast<std::size_t>(tile.bands) * regions)};
    std::vector<double> row(static_cast<std::size_t>(tile.columns));
    for (int b = 0; b < tile.bands; ++b)
      for (int r = 0; r < tile.rows; ++r)
        add_row(part.sums.data() + static_cast<std::size_t>(b) * regions, tile, tile.conversions[static_cast<std::size_t>(b)],
                static_cast<std::size_t>(b) * tile.plane() + static_cast<std::size_t>(r) * row.size(), coverage.row(tile.row + r), row);
    const std::lock_guard lock(mutex);
    parts.push_back(std::move(part));
  });
  std::sort(parts.begin(), parts.end(), [](const auto& a, const auto& b) { return a.band != b.band ? a.band < b.band : a.row < b.row; });
  std::vector<std::vector<Sum>> sums(static_cast<std::size_t>(stack.bands()), std::vector<Sum>(regions));
  for (const auto& part : parts)
    for (std::size_t i = 0; i < part.sums.size(); ++i) {
      Sum& sum = sums[static_cast<std::size_t>(part.band) + i / regions][i % regions];
      sum.value += part.sums[i].value;
      sum.weight += part.sums[i].weight;
    }
  std::vector<std::vector<double>> means;
  for (const auto& band : sums) {
    means.emplace_back();
    for (const auto& sum : band) means.back().push_back(sum.value / sum.weight);
  }
  return means;
}

RasterStack open_stack(const Folder& folder, const std::string& name, int bands) {
  make_dates(folder / (name + ".csv"), bands);
  RasterSource source;
  source.path = name;
  source.unit = "mm";
  source.dates = name + ".csv";
  static std::vector<std::unique_ptr<InputLog>> logs;
  logs.push_back(std::make_unique<InputLog>(folder.path()));
  auto stack = RasterStack::open({"rain", Quantity::rain, true}, source, *logs.back());
  if (!stack) {
    std::fprintf(stderr, "%s\n", to_text(logs.back()->problems.front()).c_str());
    std::exit(1);
  }
  return std::move(*stack);
}

void compare_with_bytes(const std::string& name, const std::string& path, const RasterStack& stack,
                        const std::vector<MultiPolygon>& regions, int rounds) {
  std::vector<double> read2, cover, one, two;
  for (int round = 0; round < rounds; ++round) {
    read2.push_back(seconds([&] { read_bytes(path); }));
    std::optional<RowCoverage> coverage;
    cover.push_back(seconds([&] { coverage.emplace(regions, stack.grid()); }));
    one.push_back(seconds([&] { region_means(stack, *coverage, regions.size(), 1); }));
    two.push_back(seconds([&] { region_means(stack, *coverage, regions.size(), 2); }));
  }
  const double bytes = median(read2), covered = median(cover);
  say(name + "_read2_s", bytes);
  say(name + "_coverage_s", covered);
  say(name + "_one_thread_over_read2", (covered + median(one)) / bytes);
  say(name + "_two_threads_over_read2", (covered + median(two)) / bytes);
}

// terra on the first regions of the large raster; its time is taken per region.
void compare_with_terra(const Folder& folder, const RasterStack& stack, const std::vector<MultiPolygon>& regions, int sample) {
  if (std::system("Rscript -e 'library(terra)' > /dev/null 2>&1") != 0) {
    std::printf("terra is not installed: no comparison\n");
    return;
  }
  std::vector<MultiPolygon> first(regions.begin(),
                                  regions.begin() + std::min<std::ptrdiff_t>(sample, static_cast<std::ptrdiff_t>(regions.size())));
  write_regions(folder / "regions.geojson", first);
  const std::string command = "Rscript " RICKYARD_SOURCE_DIR "/tests/bench/extraction/terra.R " + (folder / "big.tif") + " " +
                              (folder / "regions.geojson") + " > " + (folder / "terra.txt");
  std::vector<double> ours_s;
  std::vector<std::vector<double>> ours;
  const auto run = [&] {
    ours_s.push_back(seconds([&] { ours = region_means(stack, RowCoverage(regions, stack.grid()), regions.size(), 1); }));
  };
  run();
  if (std::system(command.c_str()) != 0) {
    std::printf("terra failed\n");
    return;
  }
  run();
  std::ifstream in(folder / "terra.txt");
  double took = 0, worst = 0;
  in >> took;
  for (std::size_t i = 0; i < first.size(); ++i) {
    double mean = 0;
    in >> mean;
    worst = std::max(worst, std::abs(mean / ours[0][i] - 1));
  }
  const double of_all = took * static_cast<double>(regions.size()) / static_cast<double>(first.size());
  say("terra_s_per_region", took / static_cast<double>(first.size()));
  say("terra_over_one_thread", of_all / std::min(ours_s[0], ours_s[1]));
  say("terra_largest_relative_difference_of_means", worst);
}

}  // namespace

int main(int argc, char** argv) {
  const auto set = settings(
      argc, argv, {{"size", 10000}, {"bands", 365}, {"stack_size", 1000}, {"regions", 200}, {"rounds", 5}, {"terra", 2}, {"cpu", 0}});
  if (set.at("cpu") != 0) set_clock(Clock::processor);
  const Folder folder;
  const int size = static_cast<int>(set.at("size")), bands = static_cast<int>(set.at("bands")),
            side = static_cast<int>(set.at("stack_size"));
  const int n = static_cast<int>(set.at("regions")), rounds = static_cast<int>(set.at("rounds"));
  make_bands(folder / "big.tif", size, size, 1, "NONE");
  const auto big = open_stack(folder, "big.tif", 1);
  const auto regions = wiggly_regions(n, 2000, size, size);
  compare_with_bytes("big_raw", folder / "big.tif", big, regions, rounds);
  if (set.at("terra") > 0) compare_with_terra(folder, big, regions, static_cast<int>(set.at("terra")));
  const auto on_stack = wiggly_regions(n, 2000, side, side);
  for (const char* compress : {"NONE", "DEFLATE"}) {
    const std::string name = std::string("stack_") + (compress[0] == 'N' ? "raw" : "deflate");
    make_bands(folder / (name + ".tif"), side, side, bands, compress);
    const auto stack = open_stack(folder, name + ".tif", bands);
    compare_with_bytes(name, folder / (name + ".tif"), stack, on_stack, rounds);
    std::filesystem::remove(folder / (name + ".tif"));
  }
}
