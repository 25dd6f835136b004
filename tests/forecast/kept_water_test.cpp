// Crops whose soil water at the beginning of every season is kept: the same bits as without, and no work twice.
#include <doctest/doctest.h>

#include <cstring>
#include <numeric>

#include "planner/crop/crop_run.h"
#include "tests/forecast/islands.h"
#include "tests/geo/memory_cache.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

// 300 units, more than a chunk of 256: three cells, the three soils of the islands over and over.
const Land& wide_land() {
  static const Land land = [] {
    std::vector<SoilClass> soils;
    for (int i = 0; i < 100; ++i) soils.push_back(island_land().soils[static_cast<std::size_t>(i % 3)]);
    return make_land(3, soils);
  }();
  return land;
}

std::vector<int> units(int n) {
  std::vector<int> out(static_cast<std::size_t>(n));
  std::iota(out.begin(), out.end(), 0);
  return out;
}

CropRun sown(MonthDay planned, int n, int part = 4) { return {planned, units(n), 30, 1, part, std::nullopt}; }

Growing with(Cache& cache, const std::string& land_and_weather = "islands", GrowthTally* tally = nullptr) {
  Growing growing;
  growing.threads = 1;
  growing.cache = &cache;
  growing.land_and_weather = land_and_weather;
  growing.tally = tally;
  return growing;
}

bool same_bits(const CropRecords& a, const CropRecords& b) {
  REQUIRE(a.harvest_years == b.harvest_years);
  REQUIRE(a.records.size() == b.records.size());
  for (std::size_t r = 0; r < a.records.size(); ++r) {
    REQUIRE(a.records[r].size() == b.records[r].size());
    REQUIRE(a.records[r].size() > 0);
    if (std::memcmp(a.records[r].begin(), b.records[r].begin(), a.records[r].size() * sizeof(CropRecord)) != 0) return false;
  }
  return true;
}

CropRecords grown(const CropRun& run, const Growing& growing, const KnownWeather* known = nullptr, const SeasonPatch& patch = {}) {
  return run_crop(wide_land(), islands(), {run}, make_season(), patch, growing, known);
}
CropRecords grown_alone(const CropRun& run, const KnownWeather* known = nullptr, const SeasonPatch& patch = {}) {
  return grown(run, Growing{1}, known, patch);
}

}  // namespace

TEST_CASE("Another sowing date begins with the kept water: the same bits as grown alone, and no water is worked out again") {
  test::MemoryCache cache;
  GrowthTally tally;
  CHECK(same_bits(grown(sown({4, 1}, 300), with(cache, "islands", &tally)), grown_alone(sown({4, 1}, 300))));
  CHECK(cache.count("soil") == 1);
  CHECK(tally.grown == 2);
  CHECK(same_bits(grown(sown({4, 9}, 300), with(cache, "islands", &tally)), grown_alone(sown({4, 9}, 300))));
  CHECK(cache.created("soil") == 1);
  CHECK(tally.grown == 4);
  // Both dates are kept now, whatever is asked for first.
  for (const MonthDay date : {MonthDay{4, 1}, MonthDay{4, 9}, MonthDay{4, 1}}) grown(sown(date, 300), with(cache, "islands", &tally));
  CHECK(tally.grown == 4);
  CHECK(tally.kept == 6);
}

TEST_CASE("The season in hand begins with the kept water of the seasons before it, be it in the archive, after it, or its first") {
  test::MemoryCache cache;
  grown(sown({4, 1}, 40), with(cache));
  for (const auto& known : {KnownWeather{2021, Date(2020, 12, 20)}, KnownWeather{2016, Date(2016, 5, 10)},
                            KnownWeather{1992, Date(1992, 3, 3)}, KnownWeather{1991, Date(1991, 3, 3)}}) {
    CAPTURE(known.harvest_year);
    CHECK(same_bits(grown(sown({4, 1}, 40), with(cache), &known), grown_alone(sown({4, 1}, 40), &known)));
  }
  CHECK(cache.created("soil") == 1);
}

TEST_CASE("Kept water is of one weather: a case works out its own, and notes none in front of a season in hand") {
  test::MemoryCache cache;
  SeasonPatch dry;
  dry.rain_factor.fill(0.6);
  grown(sown({4, 1}, 40), with(cache));
  CHECK(same_bits(grown(sown({4, 1}, 40), with(cache), nullptr, dry), grown_alone(sown({4, 1}, 40), nullptr, dry)));
  CHECK(cache.count("soil") == 2);
  dry.temperature_shift_c = 1;
  const KnownWeather known{2021, Date(2020, 12, 20)};
  CHECK(same_bits(grown(sown({4, 1}, 40), with(cache), &known, dry), grown_alone(sown({4, 1}, 40), &known, dry)));
  CHECK(cache.count("soil") == 2);
}

TEST_CASE("What is kept is what seasons begin with: under a false name it is believed, and the winter's drainage is the other weather's") {
  test::MemoryCache cache;
  const Season season = make_season();
  const WeatherArchive other = make_archive({{400, 8.6, 6.2, 7.5, 4.8, 0.30, 0.0}, {}, {}}, Date(1990, 9, 1), Date(2020, 12, 31), 7);
  run_crop(wide_land(), other, {sown({4, 1}, 40)}, season, {}, with(cache));
  const auto honest = run_crop(wide_land(), islands(), {sown({4, 9}, 40)}, season, {}, Growing{1});
  const auto misled = run_crop(wide_land(), islands(), {sown({4, 9}, 40)}, season, {}, with(cache));
  CHECK_FALSE(same_bits(honest, misled));
  double drained = 0;
  for (std::size_t i = 0; i < honest.records[0].size(); ++i)
    drained +=
        (honest.records[0][i].drainage_winter_mm - misled.records[0][i].drainage_winter_mm) / static_cast<double>(honest.records[0].size());
  MESSAGE("drainage of a winter after wetter summers: " << drained << " mm more");
  CHECK(drained > 5);
}

TEST_CASE("Damaged water is worked out again; water of a run that was cut short is made up by the next") {
  test::MemoryCache cache;
  grown(sown({4, 1}, 300), with(cache));
  cache.damage("soil", 1000);
  CHECK(same_bits(grown(sown({4, 9}, 300), with(cache)), grown_alone(sown({4, 9}, 300))));
  CHECK(cache.count("soil") == 1);
  CHECK(cache.created("soil") == 2);

  test::MemoryCache cut;
  cut.fail_after("crop", 1, test::MemoryCache::Failing::killed);
  CHECK_THROWS_AS(grown(sown({4, 1}, 300), with(cut)), test::Killed);
  cut.recover();
  CHECK(cut.count("soil") == 0);
  CHECK(same_bits(grown(sown({4, 1}, 300), with(cut)), grown_alone(sown({4, 1}, 300))));
  CHECK(cut.count("soil") == 1);
  CHECK(same_bits(grown(sown({4, 9}, 300), with(cut)), grown_alone(sown({4, 9}, 300))));
}
