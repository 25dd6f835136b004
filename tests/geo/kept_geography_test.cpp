// Readings that are kept: the same as fresh ones, bit for bit, and only while nothing changed.
#include <gdal_priv.h>

#include <doctest/doctest.h>
#include <cmath>
#include <numeric>

#include "geo/gdal_words.h"
#include "geo/geography_store.h"
#include "memory_cache.h"
#include "scene.h"

using namespace rickyard;
using namespace rickyard::test;

namespace {

template <typename T>
bool same_values(const WeatherValues<T>& a, const WeatherValues<T>& b) {
  return a.size() == b.size() && a == b;
}

// Everything: land, grid, problems, files, declared by their bytes; the archive by its values.
bool same(const GeoReading& a, const GeoReading& b) {
  ByteWriter bytes_a, bytes_b;
  put(bytes_a, a, {}, "");
  put(bytes_b, b, {}, "");
  if (bytes_a.bytes() != bytes_b.bytes() || a.daily.has_value() != b.daily.has_value()) return false;
  if (!a.daily) return true;
  const WeatherArchive &p = *a.daily, &q = *b.daily;
  return p.cells == q.cells && p.days == q.days && p.first_day == q.first_day && same_values(p.rain_cmm, q.rain_cmm) &&
         same_values(p.tmin_cc, q.tmin_cc) && same_values(p.tmax_cc, q.tmax_cc) && same_values(p.wind_cms, q.wind_cms) &&
         same_values(p.vapour_pa, q.vapour_pa) && same_values(p.radiation_cmj, q.radiation_cmj) && same_values(p.et0_cmm, q.et0_cmm);
}

GeoReading read_with(const Scene& scene, Cache* cache, std::size_t memory_bytes = std::size_t{1} << 30, int threads = 2) {
  Progress progress;
  return read_geography(scene.season, scene.folder.path(), progress, {threads, memory_bytes, cache});
}

int first_rain(const GeoReading& reading) {
  REQUIRE(reading.daily.has_value());
  return reading.daily->rain_cmm[0];
}

// 400 days on 80 x 60 cells, some in the sea (no rain ever), some with a gap: several parts for each array.
struct LargeScene : Scene {
  LargeScene() {
    for (auto* raster : {&rain, &tmin, &tmax}) {
      raster->columns = 80;
      raster->rows = 60;
      raster->bands = 400;
      raster->width = raster->height = 0.01;
    }
    rain.value = [](int b, int r, int c) {
      if (c < 3 && r < 20) return std::nan("");
      if (b == 17 && r == 31 && c % 10 == 5) return std::nan("");
      return 0.01 * ((b * 31 + r * 7 + c * 3) % 900);
    };
    tmin.value = [](int b, int r, int c) { return 5 - 0.01 * ((b + r + c) % 700); };
    tmax.value = [](int b, int r, int c) { return 12 + 0.01 * ((b * 3 + r + c) % 700); };
    regions = {{"north", {{rectangle(-2.996, 56.71, -2.205, 56.996), {}}}}, {"south", {{rectangle(-2.996, 56.405, -2.205, 56.71), {}}}}};
    for (auto& [key, source] : season.rasters) source.dates = "dates400.csv";
  }
  void write() const {
    Scene::write();
    std::string dates;
    for (int d = 0; d < 400; ++d) dates += to_text(date_of(day_number(Date(2001, 1, 1)) + d)) + "\n";
    write_text(folder / "dates400.csv", dates);
  }
};

constexpr const char* kLargeWarnings =
    "warning: rain.tif: band 18 (2001-01-18): rain has gaps in 8 cells, the first at row 32, column 6; such cells count as having no "
    "weather; fill the gaps to use them\n"
    "warning: regions.gpkg: region \"north\": \"97.75 %\": only this part of its area has weather and soil; the rest is left out of the "
    "forecast\n"
    "warning: regions.gpkg: region \"south\": \"99.66 %\": only this part of its area has weather and soil; the rest is left out of the "
    "forecast";

}  // namespace

TEST_CASE("a kept reading is the fresh one, with its warnings, and opens no raster") {
  LargeScene scene;
  scene.write();
  MemoryCache cache;
  const auto fresh = read_with(scene, nullptr);
  CHECK(lines(fresh.problems) == kLargeWarnings);
  const auto first = read_with(scene, &cache);
  CHECK(same(fresh, first));
  REQUIRE(first.daily.has_value());
  REQUIRE(first.daily->pages != nullptr);
  first.daily->require(0, first.daily->cells);
  CHECK(cache.count("geography") == 1);
  CHECK(cache.count("weather") == 1);
  // The rasters are gone in all but name.
  cache.freeze_digests();
  for (const char* name : {"rain.tif", "tmin.tif", "tmax.tif", "regions.gpkg"}) write_text(scene.folder / name, "nothing");
  const auto second = read_with(scene, &cache);
  CHECK(same(fresh, second));
  second.daily->require(16, 40);
  second.daily->pages->release(16, 40);
  CHECK(cache.created("weather") == 1);
}

TEST_CASE("the bound on memory and the number of threads change no bit") {
  LargeScene scene;
  scene.write();
  MemoryCache whole;
  const auto fresh = read_with(scene, nullptr, std::size_t{1} << 30, 1);
  CHECK(same(fresh, read_with(scene, &whole)));
  const auto bytes = whole.bytes_of("weather");
  REQUIRE_FALSE(bytes.empty());
  for (const std::size_t bound : {4u << 20, 2u << 20, 100u << 10})
    for (const int threads : {1, 2, 4}) {
      if (bound != 2u << 20 && threads == 2) continue;
      MemoryCache cache;
      CHECK(same(fresh, read_with(scene, &cache, bound, threads)));
      CHECK(cache.bytes_of("weather") == bytes);
      CHECK(cache.created("weather-slab") > 1);
    }
}

TEST_CASE("a packing that was killed goes on where it was") {
  LargeScene scene;
  scene.write();
  const auto fresh = read_with(scene, nullptr);
  // Parts are filled in the order of cells; the bound makes slabs of a few rows.
  for (const int parts : {0, 4, 8}) {
    MemoryCache cache;
    cache.fail_after("weather", parts, MemoryCache::Failing::killed);
    CHECK_THROWS_AS(read_with(scene, &cache, 2 << 20), Killed);
    cache.recover();
    CHECK(same(fresh, read_with(scene, &cache, 2 << 20)));
  }
  // What was done is not read again: its rows may have changed since.
  MemoryCache cache;
  cache.fail_after("weather", 7, MemoryCache::Failing::killed);
  CHECK_THROWS_AS(read_with(scene, &cache, 2 << 20), Killed);
  cache.recover();
  cache.freeze_digests();
  const auto value = scene.rain.value;
  scene.rain.value = [value](int b, int r, int c) { return r < 20 && !std::isnan(value(b, r, c)) ? 3.0 : value(b, r, c); };
  scene.write();
  CHECK(same(fresh, read_with(scene, &cache, 2 << 20)));
}

TEST_CASE("a damaged entry is read again") {
  LargeScene scene;
  scene.write();
  MemoryCache cache;
  const auto fresh = read_with(scene, &cache);
  cache.damage("geography", 100);
  CHECK(same(fresh, read_with(scene, &cache)));
  CHECK(cache.created("geography") == 2);
  CHECK(cache.created("weather") == 1);
  cache.remove("geography");
  cache.damage("weather-findings", 3);
  CHECK(same(fresh, read_with(scene, &cache)));
  CHECK(cache.created("weather") == 2);
  cache.damage("weather", 1000);
  const auto damaged = read_with(scene, &cache);
  CHECK_THROWS_AS(damaged.daily->require(0, 16), DamagedEntry);
  CHECK(same(fresh, read_with(scene, &cache)));
  CHECK(cache.created("weather") == 3);
}

TEST_CASE("a cache that cannot take the weather") {
  LargeScene scene;
  scene.write();
  const auto fresh = read_with(scene, nullptr);
  MemoryCache full;
  full.fail_after("weather", 3, MemoryCache::Failing::full_disk);
  CHECK(same(fresh, read_with(scene, &full, 2 << 20)));
  CHECK(full.count("weather") == 0);
  CHECK(full.count("geography") == 0);
  MemoryCache read_only;
  read_only.read_only(true);
  CHECK(same(fresh, read_with(scene, &read_only)));
}

TEST_CASE("what changed is read anew") {
  Scene scene;
  scene.write();
  MemoryCache cache;
  const auto before = read_with(scene, &cache);
  CHECK(same(before, read_with(scene, &cache)));
  CHECK(cache.created("geography") == 1);
  SUBCASE("a raster") {
    scene.rain.value = [](int, int, int) { return 2.0; };
    scene.write();
    CHECK(first_rain(read_with(scene, &cache)) == 200);
  }
  SUBCASE("the unit, in a file beside the raster") {
    scene.rain.unit = "";
    scene.write();
    CHECK(has_error(read_with(scene, &cache).problems));
    write_text(
        scene.folder / "rain.tif.aux.xml",
        "<PAMDataset><PAMRasterBand band=\"1\"><UnitType>cm</UnitType></PAMRasterBand><PAMRasterBand band=\"2\"><UnitType>cm</UnitType>"
        "</PAMRasterBand><PAMRasterBand band=\"3\"><UnitType>cm</UnitType></PAMRasterBand></PAMDataset>");
    CHECK(first_rain(read_with(scene, &cache)) == 1000);
  }
  SUBCASE("a setting of the season file") {
    scene.season.soil->clay_pct = 25;
    CHECK(read_with(scene, &cache).land.soils[0].clay_frac == 0.25);
    CHECK(cache.created("weather") == 1);  // the same weather, packed once
  }
  SUBCASE("the dates") {
    write_text(scene.folder / "dates.csv", "2002-01-01\n2002-01-02\n2002-01-03\n");
    CHECK(to_text(read_with(scene, &cache).daily->first_day) == "2002-01-01");
  }
  SUBCASE("the regions: fewer cells") {
    scene.regions.pop_back();
    scene.write();
    CHECK(read_with(scene, &cache).land.regions.size() == 1);
  }
  SUBCASE("the folder's name alone") {
    const auto renamed = scene.folder.path().string() + "-renamed";
    std::filesystem::rename(scene.folder.path(), renamed);
    Progress progress;
    const auto moved = read_geography(scene.season, renamed, progress, {1, 1u << 30, &cache});
    std::filesystem::rename(renamed, scene.folder.path());
    CHECK(moved.files.front() == std::filesystem::path(renamed) / "regions.gpkg");
    CHECK(moved.daily->rain_cmm == before.daily->rain_cmm);
    CHECK(cache.created("geography") == 1);
  }
}

TEST_CASE("errors are found again, and nothing is kept of them") {
  Scene scene;
  scene.rain.value = [](int b, int, int) { return b == 1 ? -1.0 : 1.0; };
  scene.write();
  MemoryCache cache;
  const auto first = read_with(scene, &cache), second = read_with(scene, &cache);
  CHECK(lines(first.problems) == lines(second.problems));
  CHECK(lines(first.problems) ==
        "error: rain.tif: band 2 (2001-01-02): \"-1\": rain is negative at row 1, column 1 (12 values in all); where this stands for a "
        "missing value, state fill in [rasters.rain]");
  CHECK(cache.count("geography") == 0);
  CHECK(cache.count("weather") == 0);
}

TEST_CASE("a virtual raster is read each time, for its sources have other names") {
  Scene scene;
  scene.write();
  {
    const GdalWords quiet;
    const std::unique_ptr<GDALDataset> source(GDALDataset::Open((scene.folder / "rain.tif").c_str()));
    REQUIRE(source != nullptr);
    const std::unique_ptr<GDALDataset> copy(GetGDALDriverManager()->GetDriverByName("VRT")->CreateCopy(
        (scene.folder / "rain.vrt").c_str(), source.get(), 0, nullptr, nullptr, nullptr));
    REQUIRE(copy != nullptr);
  }
  scene.season.rasters["rain"].path = "rain.vrt";
  MemoryCache cache;
  CHECK(first_rain(read_with(scene, &cache)) == 100);
  CHECK(cache.count("geography") == 0);
  CHECK(cache.count("weather") == 0);
  scene.rain.value = [](int, int, int) { return 2.0; };
  scene.write();
  CHECK(first_rain(read_with(scene, &cache)) == 200);
}

TEST_CASE("monthly weather is kept as it is") {
  Scene scene;
  for (auto& [key, source] : scene.season.rasters) source.step = "month";
  scene.rain.value = [](int b, int r, int c) { return 40.0 + b + 0.1 * r + 0.013 * c; };
  scene.write();
  write_text(scene.folder / "dates.csv", "2001-01\n2001-02\n2001-03\n");
  MemoryCache cache;
  const auto fresh = read_with(scene, nullptr), first = read_with(scene, &cache);
  CHECK(lines(fresh.problems) == "");
  REQUIRE(fresh.monthly.has_value());
  cache.freeze_digests();
  write_text(scene.folder / "rain.tif", "nothing");
  const auto second = read_with(scene, &cache);
  CHECK(same(fresh, first));
  CHECK(same(fresh, second));
  CHECK(second.monthly->rain_mm == fresh.monthly->rain_mm);
}

TEST_CASE("all kinds of files give the same on any number of threads") {
  for (const char* kind : {"netCDF", "Zarr"}) {
    Scene scene;
    Cube cube;
    cube.driver = kind;
    cube.chunks = "7,2,3";
    cube.columns = 9;
    cube.rows = 7;
    cube.width = cube.height = 0.05;
    cube.times.resize(120);
    std::iota(cube.times.begin(), cube.times.end(), 0);
    cube.variables = {{"rain", "mm", {}, {}, {}, false, [](int b, int r, int c) { return 0.01 * ((b * 17 + r * 5 + c) % 300); }},
                      {"tmin", "C", -999.0, 0.01, {}, true, [](int b, int r, int c) { return (b * 7 + r + c) % 400; }},
                      {"tmax", "C", {}, {}, {}, false, [](int b, int, int) { return 10.0 + b % 10; }}};
    scene.write();
    const std::string name = cube.driver == "Zarr" ? "weather.zarr" : "weather.nc";
    write_cube(scene.folder / name, cube);
    for (auto& [key, source] : scene.season.rasters) {
      source.path = name;
      source.variable = key;
      source.dates = "";
    }
    const auto one = read_with(scene, nullptr, std::size_t{1} << 30, 1);
    CHECK(lines(one.problems) == "");
    REQUIRE(one.daily.has_value());
    for (const int threads : {2, 4})
      for (const std::size_t bound : {std::size_t{1} << 30, std::size_t{1} << 13}) {
        MemoryCache cache;
        CHECK(same(one, read_with(scene, nullptr, bound, threads)));
        CHECK(same(one, read_with(scene, &cache, bound, threads)));
        CHECK(same(one, read_with(scene, &cache, bound, threads)));
      }
  }
}
