// The fast kernel against the scalar code that defines the answer: the same dates and counts, other figures to 1e-6; the same bits however
// the work is cut, on any number of threads and on every instruction set of the machine.
#include <doctest/doctest.h>

#include <hwy/targets.h>

#include <cmath>
#include <cstring>
#include <map>
#include <numeric>

#include "planner/base/problem.h"
#include "planner/crop/crop_run.h"
#include "tests/forecast/islands.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

constexpr double kBound = 1e-6;  // METHODS.md, "Fast kernel"

std::vector<int> units(int from, int to) {
  std::vector<int> out(static_cast<std::size_t>(to - from));
  std::iota(out.begin(), out.end(), from);
  return out;
}

std::vector<CropRun> many_runs(const std::vector<int>& on) {
  std::vector<CropRun> runs;
  for (int week = 0; week < 6; ++week) {
    const Date date = Date(2001, 2, 20) + boost::gregorian::days(13 * week);
    runs.push_back({{date.month().as_number(), date.day().as_number()}, on, 30, 0.9 + 0.05 * week, 1 + 5 * (week % 3), std::nullopt});
  }
  runs.push_back({{3, 20}, on, 0, 1, 1, std::nullopt});      // sown on the day, whatever the soil
  runs.push_back({{3, 20}, on, 30, 1, 1, MonthDay{4, 3}});   // a known day
  runs.push_back({{10, 5}, on, 30, 1.3, 1, std::nullopt});   // sown in autumn: up before the winter's end
  runs.push_back({{7, 20}, on, 60, 1.6, 19, std::nullopt});  // too late to ripen in many a year
  return runs;
}

struct Difference {
  int dates = 0;
  double worst = 0;
};

void compare(const CropRecord& exact, const CropRecord& fast, Difference& found) {
  const auto whole = [](const CropRecord& r) {
    return std::array<int, 10>{r.sown,      r.emerged,          r.stem_extension, r.heading,      r.ripe,
                               r.harvested, r.waterlogged_days, r.frost_nights,   r.combine_days, static_cast<int>(r.wet_days_harvest)};
  };
  const auto real = [](const CropRecord& r) {
    return std::array<double, 16>{r.relative_yield,      r.duration,           r.duration_planned, r.water_factor,
                                  r.waterlogging_factor, r.heat_factor,        r.frost_factor,     r.sowing_factor,
                                  r.harvest_factor,      r.deficit_fill_mm,    r.heat_degree_days, r.drainage_winter_mm,
                                  r.rain_harvest_mm,     r.grain_moisture_pct, r.rain_apr_jul_mm,  r.rain_mm};
  };
  if (whole(exact) != whole(fast)) ++found.dates;
  const auto a = real(exact), b = real(fast);
  for (std::size_t i = 0; i < a.size(); ++i)
    found.worst = std::max(found.worst, std::abs(a[i] - b[i]) / std::max({1.0, std::abs(a[i]), std::abs(b[i])}));
}

Difference difference(const CropRecords& exact, const CropRecords& fast) {
  Difference found;
  REQUIRE(exact.harvest_years == fast.harvest_years);
  REQUIRE(exact.records.size() == fast.records.size());
  for (std::size_t r = 0; r < exact.records.size(); ++r) {
    REQUIRE(exact.records[r].size() == fast.records[r].size());
    for (std::size_t i = 0; i < exact.records[r].size(); ++i) compare(exact.records[r][i], fast.records[r][i], found);
  }
  return found;
}

bool same_bits(const CropRecords& a, const CropRecords& b) {
  for (std::size_t r = 0; r < a.records.size(); ++r)
    if (a.records[r].size() != b.records[r].size() ||
        std::memcmp(a.records[r].begin(), b.records[r].begin(), a.records[r].size() * sizeof(CropRecord)) != 0)
      return false;
  return a.records.size() == b.records.size();
}

void check_against_exact(const Land& land, const WeatherArchive& archive, const std::vector<CropRun>& runs, const Season& season,
                         const SeasonPatch& patch = {}, const KnownWeather* known = nullptr) {
  const auto exact = run_crop(land, archive, runs, season, patch, 0, nullptr, known);
  const auto fast = run_crop(land, archive, runs, season, patch, Growing{}, known);
  const auto found = difference(exact, fast);
  CHECK(found.dates == 0);
  CHECK(found.worst < kBound);
  int harvested = 0;
  for (const auto& records : exact.records)
    for (const auto& record : records) harvested += record.harvested >= 0 ? 1 : 0;
  CHECK(harvested > 50);
  MESSAGE("crops harvested: " << harvested << ", largest difference: " << found.worst);
}

}  // namespace

TEST_CASE("Fast against exact: every soil, early and late, waiting or not, varieties, parts, known days") {
  check_against_exact(island_land(), islands(), many_runs(units(0, 9)), make_season());
}

TEST_CASE("Fast against exact: seasons that begin at field capacity, on an archive that begins in January") {
  Season season = make_season();
  season.start = SeasonStart::field_capacity;
  const auto archive = make_archive({{}, {1500, 8.6, 6.2, 6.5, 4.2, 0.60, 0.10}, {600, 8.6, 6.2, 7.5, 4.8, 0.42, 0.0}}, Date(2001, 1, 1),
                                    Date(2008, 12, 31), 3);
  check_against_exact(island_land(), archive, many_runs(units(0, 9)), season);
}

TEST_CASE("Fast against exact: a case of dry springs and warmth, where development waits for long days") {
  Season season = make_season();
  season.parameters.set("day_length_sensitivity", 0.08);
  SeasonPatch patch;
  patch.rain_factor = {1, 1, 0.4, 0.3, 0.55, 1.2, 1.7, 1, 1, 1, 1, 1};
  patch.temperature_shift_c = 1.37;
  check_against_exact(island_land(), islands(), many_runs(units(0, 9)), season, patch);
}

TEST_CASE("Fast against exact: the season in hand known to 10 May, in front of every past season") {
  Season season = make_season();
  season.crop_year = 2016;
  const KnownWeather known{2016, Date(2016, 5, 10)};
  SeasonPatch patch;
  patch.rain_factor[5] = 0.5;
  check_against_exact(island_land(), islands(), many_runs(units(0, 9)), season, patch, &known);
}

TEST_CASE("Fast against exact: given radiation, wind and vapour pressure, by Penman and Monteith") {
  WeatherArchive archive = islands();
  archive.wind_cms.assign(archive.size(), 310);
  archive.vapour_pa.assign(archive.size(), 900);
  archive.radiation_cmj.assign(archive.size(), 1200);
  for (std::size_t i = 0; i < archive.size(); i += 7) archive.vapour_pa[i] = WeatherArchive::kMissingOther;
  check_against_exact(island_land(), archive, many_runs(units(0, 9)), make_season());
}

TEST_CASE("The same bits on 1, 2 and 4 threads, alone or beside other runs, and however many units stand beside") {
  const auto runs = many_runs(units(0, 9));
  const auto whole = run_crop(island_land(), islands(), runs, make_season(), {}, Growing{1});
  CHECK(same_bits(whole, run_crop(island_land(), islands(), runs, make_season(), {}, Growing{2})));
  CHECK(same_bits(whole, run_crop(island_land(), islands(), runs, make_season(), {}, Growing{4})));
  for (std::size_t r = 0; r < runs.size(); r += 3) {
    auto one = runs[r];
    one.units = {2, 5};
    const auto alone = run_crop(island_land(), islands(), {one}, make_season(), {}, Growing{1});
    for (int y = 0; y < 30; ++y)
      for (int k = 0; k < 2; ++k) {
        const auto& of_whole = whole.at(static_cast<int>(r), y, one.units[static_cast<std::size_t>(k)]);
        CHECK(std::memcmp(&alone.at(0, y, k), &of_whole, sizeof(CropRecord)) == 0);
      }
  }
}

TEST_CASE("The same bits on every instruction set of this machine") {
  const auto runs = many_runs(units(0, 9));
  std::map<std::string, CropRecords> by_set;
  for (std::int64_t sets = hwy::SupportedTargets(); sets != 0; sets &= sets - 1) {
    const std::int64_t one = sets & -sets;
    hwy::SetSupportedTargetsForTest(one);
    by_set.emplace(hwy::TargetName(one), run_crop(island_land(), islands(), runs, make_season(), {}, Growing{1}));
    hwy::SetSupportedTargetsForTest(0);
  }
  for (const auto& [name, records] : by_set) {
    CAPTURE(name);
    CHECK(same_bits(by_set.begin()->second, records));
  }
  MESSAGE("instruction sets compared: " << by_set.size());
}

TEST_CASE("A missing day is named with its cell and date, by either kernel") {
  WeatherArchive archive = islands();
  archive.rain_cmm[archive.at(1000, 1)] = WeatherArchive::kMissingRain;
  for (const CropKernel kernel : {CropKernel::fast, CropKernel::exact}) {
    try {
      run_crop(island_land(), archive, many_runs(units(0, 9)), make_season(), {}, Growing{1, nullptr, kernel});
      FAIL("a gap was accepted");
    } catch (const InputError& error) {
      const std::string text = error.what();
      CHECK(text.find("rain") != std::string::npos);
      CHECK(text.find("cell 1 ") != std::string::npos);
      CHECK(text.find("1993-05-28") != std::string::npos);
    }
  }
}
