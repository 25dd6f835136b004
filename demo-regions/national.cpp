#include "demo-regions/national.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <exception>
#include <filesystem>
#include <mutex>
#include <stdexcept>
#include <thread>
#include <vector>

#include "demo-regions/national_land.h"
#include "demo-regions/raster_files.h"
#include "demo-regions/season_folder.h"
#include "demo-regions/soils.h"
#include "demo-regions/weather_generator.h"
#include "demo-regions/wide_weather.h"

namespace rickyard::demo {
namespace {

namespace fs = std::filesystem;

constexpr int kStripRows = 16;

RasterLayout layout_of(const NationalChoice& choice) { return {kStripRows, choice.compressed, 1}; }

void write_soils(const NationalLand& land, const NationalChoice& choice) {
  const auto write = [&](const char* name, const char* unit, double scale, const auto& value_of) {
    std::vector<std::int16_t> values(land.grid.size(), kNoData);
    for (std::size_t c = 0; c < land.land.size(); ++c)
      values[land.land[c]] = static_cast<std::int16_t>(std::lround(value_of(c, land.land[c]) / scale));
    write_raster(choice.folder + "/soil/" + name + ".tif", land.grid, values, 1, {unit, scale, {}}, layout_of(choice));
  };
  const auto soil = [&](std::size_t cell) -> const SoilSeries& { return kSoilSeries[land.soils[cell]]; };
  write("sand", "%", 1, [&](std::size_t, std::size_t cell) { return soil(cell).sand_pct; });
  write("clay", "%", 1, [&](std::size_t, std::size_t cell) { return soil(cell).clay_pct; });
  write("organic_matter", "%", 0.1, [&](std::size_t, std::size_t cell) { return soil(cell).organic_matter_pct; });
  write("root_depth", "m", 0.1, [&](std::size_t, std::size_t cell) { return soil(cell).root_depth_m; });
  write("crop_mask", "1", 0.01, [&](std::size_t, std::size_t cell) { return land.crop_share[cell]; });
  write("elevation", "m", 1, [&](std::size_t c, std::size_t) { return land.climates[c].elevation_m; });
}

/// One variable of one year, written day by day.
class DayWriter {
 public:
  DayWriter(const NationalLand& land, const NationalChoice& choice, int year, const char* name, const char* unit)
      : land_(land), file_(path_of(choice, year, name), land.grid, days_in_year(year), {unit, kWideStep, labels(year)}, layout_of(choice)) {
    values.resize(land.land.size());
    band_.assign(land.grid.size(), kNoData);
  }
  std::vector<std::int16_t> values;  // [land cell] of the day
  void write(int day) {
    for (std::size_t c = 0; c < values.size(); ++c) band_[land_.land[c]] = values[c];
    file_.write(day, band_.data());
  }
  void close() { file_.close(); }

 private:
  const NationalLand& land_;
  RasterWriter file_;
  std::vector<std::int16_t> band_;

  static std::string path_of(const NationalChoice& choice, int year, const char* name) {
    return choice.folder + "/weather/" + name + "_" + std::to_string(year) + ".tif";
  }
  static std::vector<std::string> labels(int year) {
    std::vector<std::string> dates;
    for (int day = 1; day <= days_in_year(year); ++day) dates.push_back(iso_date(year, day));
    return dates;
  }
};

void write_year(const NationalLand& land, const NationalChoice& choice, int year, WideYear weather) {
  DayWriter rain(land, choice, year, "rain", "mm"), tmin(land, choice, year, "tmin", "degC"), tmax(land, choice, year, "tmax", "degC");
  for (int day = 0; day < days_in_year(year); ++day) {
    weather.next(rain.values, tmin.values, tmax.values);
    for (DayWriter* file : {&rain, &tmin, &tmax}) file->write(day);
  }
  for (DayWriter* file : {&rain, &tmin, &tmax}) file->close();
}

/// Runs job(0) .. job(jobs - 1), each once, on so many threads; the first failure is thrown when all have ended.
template <typename Job>
void side_by_side(int jobs, int threads, const Job& job) {
  std::atomic<int> next{0};
  std::exception_ptr failure;
  std::mutex failing;
  const auto work = [&] {
    for (int i = next++; i < jobs; i = next++) try {
        job(i);
      } catch (...) {
        const std::lock_guard<std::mutex> lock(failing);
        if (!failure) failure = std::current_exception();
        next = jobs;
      }
  };
  {
    std::vector<std::jthread> pool;
    for (int t = 1; t < std::min(threads, jobs); ++t) pool.emplace_back(work);
    work();
  }
  if (failure) std::rethrow_exception(failure);
}

void check(const NationalChoice& choice) {
  const auto within = [](const char* option, int value, int least, int most) {
    if (value < least || value > most)
      throw std::runtime_error(std::string(option) + " must lie between " + std::to_string(least) + " and " + std::to_string(most));
  };
  within("--cells", choice.cells, 500, 4000000);
  within("--regions", choice.regions, 3, 999);
  within("--years", choice.years, 1, kLastYear - kFirstYear + 1);
  within("--dates", choice.dates, 1, 20);
}

}  // namespace

std::size_t make_national_season(const NationalChoice& choice) {
  check(choice);
  register_drivers();
  for (const char* part : {"weather", "soil"}) fs::create_directories(fs::path(choice.folder) / part);
  const NationalLand land = make_national_land(choice.seed, choice.cells, choice.regions);
  const std::string regions_path = choice.folder + "/regions.gpkg";
  fs::remove(regions_path);
  write_regions(land.regions, regions_path);
  write_soils(land, choice);
  copy_templates(choice.templates, choice.folder);
  write_national_contracts(land, choice.dates, choice.folder + "/contracts.csv");

  std::vector<YearAnomaly> years = make_year_anomalies(choice.seed);
  years.erase(years.begin(), years.end() - choice.years);
  std::vector<int> first_day = {0};
  for (const auto& year : years) first_day.push_back(first_day.back() + days_in_year(year.year));
  const NodeGrid nodes = weather_nodes(land);
  const WideCells cells(nodes, land.climates, land.row_start);
  const WideFields fields(nodes, first_day.back(), choice.seed);
  const int cores = static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
  side_by_side(choice.years, choice.threads > 0 ? choice.threads : cores, [&](int y) {
    const auto at = static_cast<std::size_t>(y);
    write_year(land, choice, years[at].year, WideYear(cells, fields, years, at, first_day[at]));
  });
  return land.land.size();
}

}  // namespace rickyard::demo
