// The crop model against an independent twin in another language that knows only the methods text.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "planner/crop/crop_run.h"
#include "tests/forecast/season_maker.h"
#include "tests/forecast/weather_maker.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

std::string methods_path() { return std::string(RICKYARD_SOURCE_DIR) + "/planner/METHODS.md"; }

void write_weather(const WeatherArchive& archive, int cell, const std::string& path) {
  std::ofstream file(path);
  for (int day = 0; day < archive.days; ++day) {
    const auto at = archive.at(day, cell);
    file << to_text(archive.first_day + boost::gregorian::days(day)) << ',' << archive.rain_cmm[at] << ',' << archive.tmin_cc[at] << ','
         << archive.tmax_cc[at] << '\n';
  }
}

std::vector<std::vector<double>> run_twin(const std::string& weather, double latitude, const SoilClass& soil, const std::string& rest) {
  std::ostringstream command;
  command.precision(17);
  command << "/usr/bin/python3 '" << RICKYARD_SOURCE_DIR << "/tests/forecast/crop_twin.py' '" << weather << "' '" << methods_path() << "' "
          << latitude << ' ' << soil.sand_frac << ' ' << soil.clay_frac << ' ' << soil.hydrologic_group << ' ' << rest;
  FILE* pipe = popen(command.str().c_str(), "r");
  REQUIRE(pipe != nullptr);
  std::string text;
  char buffer[4096];
  while (const std::size_t n = std::fread(buffer, 1, sizeof buffer, pipe)) text.append(buffer, n);
  REQUIRE(pclose(pipe) == 0);
  std::vector<std::vector<double>> rows;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    std::istringstream fields(line);
    rows.emplace_back();
    for (double value; fields >> value;) rows.back().push_back(value);
  }
  return rows;
}

std::vector<double> figures(int year, const CropRecord& r, const SeasonBalance& b) {
  return {static_cast<double>(year),
          static_cast<double>(r.sown),
          static_cast<double>(r.emerged),
          static_cast<double>(r.stem_extension),
          static_cast<double>(r.heading),
          static_cast<double>(r.ripe),
          static_cast<double>(r.harvested),
          static_cast<double>(r.waterlogged_days),
          static_cast<double>(r.frost_nights),
          r.wet_days_harvest,
          static_cast<double>(b.field_capacity_regained),
          r.relative_yield,
          r.duration,
          r.water_factor,
          r.deficit_fill_mm,
          r.heat_degree_days,
          r.drainage_winter_mm,
          b.deficit_oct1_mm,
          r.rain_mm,
          b.et_mm,
          b.runoff_mm,
          b.drainage_mm,
          b.storage_change_mm,
          r.rain_harvest_mm,
          static_cast<double>(r.combine_days),
          r.grain_moisture_pct,
          r.duration_planned};
}

// What the compared records reached, so that a test can see that the cases were not empty.
struct Reached {
  int waterlogged = 0, frosts = 0, wet_days = 0, lost = 0;
  double heat = 0;
};

Reached compare(const Climate& climate, const SoilClass& soil, MonthDay planned, int wait, double factor, int drilled_after = 1,
                std::optional<MonthDay> sown_on = std::nullopt) {
  CAPTURE(soil.name);
  const auto archive = make_archive({climate}, Date(2001, 7, 1), Date(2009, 12, 31), 5);
  const auto land = make_land(1, {soil});
  const auto records = run_crop(land, archive, {{planned, {0}, wait, factor, drilled_after, sown_on}}, make_season(), {}, 1, nullptr);
  const auto path =
      (std::filesystem::temp_directory_path() /
       ("rickyard_twin_" + std::to_string(std::hash<std::string>{}(soil.name + std::to_string(climate.annual_rain_mm))) + ".csv"))
          .string();
  write_weather(archive, 0, path);
  const auto twin = run_twin(path, land.cells[0].lat_deg, soil,
                             to_text(planned) + ' ' + std::to_string(wait) + ' ' + std::to_string(factor) + ' ' +
                                 std::to_string(drilled_after) + ' ' + (sown_on ? to_text(*sown_on) : "-"));
  std::filesystem::remove(path);
  REQUIRE(twin.size() == records.harvest_years.size());
  Reached reached;
  for (std::size_t y = 0; y < twin.size(); ++y) {
    const auto& record = records.at(0, static_cast<int>(y), 0);
    reached.waterlogged += record.waterlogged_days;
    reached.frosts += record.frost_nights;
    reached.wet_days += static_cast<int>(record.wet_days_harvest);
    reached.lost += record.harvested < 0 ? 1 : 0;
    reached.heat += record.heat_degree_days;
    const auto ours = figures(records.harvest_years[y], record, records.balance(0, static_cast<int>(y), 0));
    REQUIRE(twin[y].size() == ours.size());
    for (std::size_t i = 0; i < ours.size(); ++i) {
      CAPTURE(ours[0]);
      CAPTURE(i);
      CHECK(ours[i] == doctest::Approx(twin[y][i]).epsilon(1e-9).scale(1));
    }
  }
  return reached;
}

}  // namespace

TEST_CASE("Twin: loam, loamy sand and clay in a middling climate") {
  compare({}, soil_of(0.40, 0.20), {3, 31}, 30, 1);
  compare({}, soil_of(0.82, 0.05), {3, 20}, 30, 1);
  auto clay = soil_of(0.25, 0.50);
  clay.hydrologic_group = 3;
  compare({}, clay, {4, 7}, 10, 1.05);
}

TEST_CASE("Twin: later parts of drilling and a known sowing date") {
  compare({}, soil_of(0.40, 0.20), {3, 31}, 30, 1, 10);
  compare({1200, 8.6, 6.2, 6.5, 4.2, 0.55, 0.10}, soil_of(0.30, 0.35), {3, 25}, 21, 1, 16);
  compare({}, soil_of(0.82, 0.05), {3, 31}, 30, 1, 1, MonthDay{4, 9});
}

TEST_CASE("Twin: wet, hot and cold climates reach waterlogging, heat, frost and lost crops") {
  const auto wet = compare({1800, 8.6, 6.2, 6.0, 4.0, 0.65, 0.10}, soil_of(0.30, 0.35), {3, 25}, 21, 1);
  CHECK(wet.waterlogged > 50);
  CHECK(wet.wet_days > 5);
  const auto hot = compare({500, 16.0, 10.0, 14.0, 9.0, 0.30, 0.0}, soil_of(0.60, 0.25), {3, 10}, 30, 1);
  CHECK(hot.heat > 5);
  const auto cold = compare({900, 3.5, 9.0, 10.0, 6.0, 0.50, 0.0}, soil_of(0.20, 0.15), {4, 20}, 30, 1.3);
  CHECK(cold.lost > 0);
  const auto frosty = compare({700, 6.0, 8.0, 16.0, 12.0, 0.40, 0.0}, soil_of(0.60, 0.10), {3, 10}, 0, 0.8);
  CHECK(frosty.frosts > 0);
}

TEST_CASE("Every parameter of weather, crop and quality stands in the methods text with its default and unit") {
  std::ifstream file(methods_path());
  std::stringstream text;
  text << file.rdbuf();
  for (const auto& spec : parameter_table()) {
    std::ostringstream row;
    row << "| `" << spec.name << "` | " << spec.fallback << " | " << spec.unit << " |";
    CAPTURE(row.str());
    CHECK(text.str().find(row.str()) != std::string::npos);
  }
}
