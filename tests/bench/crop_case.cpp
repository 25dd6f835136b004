#include "tests/bench/crop_case.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <stdexcept>

#include "demo-regions/national_land.h"
#include "demo-regions/soils.h"
#include "demo-regions/weather_generator.h"
#include "demo-regions/wide_weather.h"
#include "tests/forecast/season_maker.h"
#include "tests/forecast/weather_maker.h"

namespace rickyard::bench {
namespace {

constexpr unsigned kSeed = 7;

Land make_land(const demo::NationalLand& world) {
  Land land;
  for (const auto& series : demo::kSoilSeries) {
    land.soils.push_back(testing::soil_of(0.01 * series.sand_pct, 0.01 * series.clay_pct, series.root_depth_m));
    land.soils.back().hydrologic_group = series.clay_pct > 40 ? 3 : series.clay_pct > 25 ? 2 : series.sand_pct > 70 ? 0 : 1;
  }
  for (std::size_t c = 0; c < world.land.size(); ++c) {
    const auto& climate = world.climates[c];
    land.cells.push_back({climate.lon_deg, climate.lat_deg, climate.elevation_m, world.grid.step_deg, world.grid.step_deg});
    land.units.push_back({static_cast<int>(c), static_cast<int>(world.soils[world.land[c]])});
  }
  return land;
}

WeatherArchive make_archive(const demo::NationalLand& world, int harvest_years) {
  auto years = demo::make_year_anomalies(kSeed);
  years.erase(years.begin(), years.end() - (harvest_years + 1));
  int days = 0;
  for (const auto& year : years) days += demo::days_in_year(year.year);
  const demo::NodeGrid nodes = demo::weather_nodes(world);
  const demo::WideCells cells(nodes, world.climates, world.row_start);
  const demo::WideFields fields(nodes, days, kSeed);
  WeatherArchive archive;
  archive.cells = static_cast<int>(cells.size());
  archive.days = days;
  archive.first_day = Date(static_cast<unsigned short>(years.front().year), 1, 1);
  archive.rain_cmm.resize(archive.size()), archive.tmin_cc.resize(archive.size()), archive.tmax_cc.resize(archive.size());
  std::vector<std::int16_t> rain(cells.size()), tmin(cells.size()), tmax(cells.size());
  for (std::size_t y = 0, day = 0; y < years.size(); ++y) {
    demo::WideYear year(cells, fields, years, y, static_cast<int>(day));
    for (int d = 0; d < demo::days_in_year(years[y].year); ++d, ++day) {
      year.next(rain, tmin, tmax);
      for (std::size_t c = 0; c < cells.size(); ++c) {
        const auto at = archive.at(static_cast<int>(day), static_cast<int>(c));
        archive.rain_cmm[at] = static_cast<std::uint16_t>(rain[c]);
        archive.tmin_cc[at] = tmin[c], archive.tmax_cc[at] = tmax[c];
      }
    }
  }
  return archive;
}

template <typename T>
void write_values(const std::vector<T>& values, const std::string& path) {
  std::ofstream file(path, std::ios::binary);
  file.write(reinterpret_cast<const char*>(values.data()), static_cast<std::streamsize>(values.size() * sizeof(T)));
  file.close();
  if (!file) throw std::runtime_error(path + ": cannot be written");
}

}  // namespace

CropCase make_crop_case(int cells, int harvest_years) {
  const demo::NationalLand world = demo::make_national_land(kSeed, cells, 3);
  CropCase made{make_land(world), make_archive(world, harvest_years), testing::make_season(), harvest_years};
  made.season.crop_year = 2027;
  made.season.as_of = Date(2027, 2, 15);
  return made;
}

std::vector<CropRun> planned_runs(const CropCase& made, int dates) {
  std::vector<int> units(made.land.units.size());
  for (std::size_t k = 0; k < units.size(); ++k) units[k] = static_cast<int>(k);
  std::vector<CropRun> runs;
  for (int d = 0; d < dates; ++d) {
    const Date planned = Date(2001, 3, 15) + boost::gregorian::days(3 * d);
    CropRun run;
    run.planned = {static_cast<int>(planned.month()), static_cast<int>(planned.day())};
    run.units = units;
    run.wait_days = static_cast<int>(made.season.parameters["sow_wait_days"]);
    runs.push_back(std::move(run));
  }
  return runs;
}

double useful_lane_days(const CropCase& made, const CropRecords& records) {
  constexpr double kSeasonDays = 426;
  const double window = made.season.parameters["combine_window_days"];
  double days = 0;
  for (const auto& run : records.records)
    for (const auto& record : run) days += record.ripe < 0 ? kSeasonDays : std::min(kSeasonDays, record.ripe + 1 + window);
  return days;
}

void write_case(const CropCase& made, const std::string& folder) {
  std::filesystem::create_directories(folder);
  const auto& archive = made.archive;
  std::ofstream words(folder + "/case.txt");
  words << archive.cells << ' ' << archive.days << ' ' << to_text(archive.first_day) << '\n';
  std::vector<std::int32_t> rain, tmin, tmax;
  for (int day = 0; day < archive.days; ++day)
    for (int cell = 0; cell < archive.cells; ++cell) {
      const auto at = archive.at(day, cell);
      rain.push_back(archive.rain_cmm[at]), tmin.push_back(archive.tmin_cc[at]), tmax.push_back(archive.tmax_cc[at]);
    }
  write_values(rain, folder + "/rain.i4"), write_values(tmin, folder + "/tmin.i4"), write_values(tmax, folder + "/tmax.i4");
  std::vector<double> table;
  const auto column = [&](auto&& of) {
    for (const auto& unit : made.land.units) table.push_back(of(unit));
  };
  const auto soil = [&](const LandUnit& unit) -> const SoilClass& { return made.land.soils[static_cast<std::size_t>(unit.soil)]; };
  const auto cell = [&](const LandUnit& unit) -> const WeatherCell& { return made.land.cells[static_cast<std::size_t>(unit.cell)]; };
  column([&](const LandUnit& unit) { return cell(unit).lat_deg; });
  column([&](const LandUnit& unit) { return soil(unit).sand_frac; });
  column([&](const LandUnit& unit) { return soil(unit).clay_frac; });
  column([&](const LandUnit& unit) { return static_cast<double>(soil(unit).hydrologic_group); });
  column([&](const LandUnit& unit) { return soil(unit).root_depth_m; });
  column([&](const LandUnit& unit) { return cell(unit).elevation_m; });
  write_values(table, folder + "/cells.f8");
}

}  // namespace rickyard::bench
