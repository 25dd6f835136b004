#include "demo-regions/season_folder.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <stdexcept>

#include "demo-regions/deliveries.h"
#include "demo-regions/raster_files.h"
#include "demo-regions/weather_generator.h"

namespace rickyard::demo {
namespace {

namespace fs = std::filesystem;

constexpr int kPixels = 4;  // soil pixels a side in a weather cell

/// Plant-available water, mm, of a soil series: a rough rule of thumb, the demo's own.
double available_water_mm(const SoilSeries& soil) {
  const double silt_pct = 100 - soil.sand_pct - soil.clay_pct;
  return soil.root_depth_m * (60 + 1.3 * silt_pct + 0.8 * soil.clay_pct + 6 * soil.organic_matter_pct);
}

void add_weather_cell(Archipelago& isles, const Terrain& terrain, int column, int row, const std::string& region) {
  double elevation = 0, water = 0;
  int crops = 0;
  for (int y = 0; y < kPixels; ++y)
    for (int x = 0; x < kPixels; ++x) {
      const std::size_t pixel = kSoilGrid.at(column * kPixels + x, row * kPixels + y);
      elevation += isles.elevation_m[pixel] / (kPixels * kPixels);
      if (!isles.crop[pixel]) continue;
      water += available_water_mm(kSoilSeries[isles.soils[pixel]]);
      ++crops;
    }
  const double lon = kWeatherGrid.lon(column), lat = kWeatherGrid.lat(row);
  isles.weather_cells.push_back(kWeatherGrid.at(column, row));
  isles.climates.push_back({lon, lat, elevation, terrain.annual_rain_mm(lon, lat)});
  isles.region_of_cell.push_back(crops > 0 ? region : std::string());
  isles.water_mm.push_back(crops > 0 ? water / crops : 120);
}

std::vector<std::int16_t> scaled_layer(const std::vector<bool>& mapped, double scale, const auto& value_of) {
  std::vector<std::int16_t> values(mapped.size(), kNoData);
  for (std::size_t i = 0; i < mapped.size(); ++i)
    if (mapped[i]) values[i] = static_cast<std::int16_t>(std::lround(value_of(i) / scale));
  return values;
}

void write_soils(const Archipelago& isles, const std::string& folder) {
  const auto soil = [&](std::size_t i) -> const SoilSeries& { return kSoilSeries[isles.soils[i]]; };
  const auto write = [&](const char* name, const char* unit, double scale, const auto& value_of) {
    write_raster(folder + "/" + name + ".tif", kSoilGrid, scaled_layer(isles.mapped, scale, value_of), 1, {unit, scale, {}});
  };
  write("sand", "%", 1, [&](std::size_t i) { return soil(i).sand_pct; });
  write("clay", "%", 1, [&](std::size_t i) { return soil(i).clay_pct; });
  write("organic_matter", "%", 0.1, [&](std::size_t i) { return soil(i).organic_matter_pct; });
  write("root_depth", "m", 0.1, [&](std::size_t i) { return soil(i).root_depth_m; });
  write("crop_mask", "1", 1, [&](std::size_t i) { return isles.crop[i] ? 1 : 0; });
  write("elevation", "m", 1, [&](std::size_t i) { return isles.elevation_m[i]; });
}

void write_weather_year(const Archipelago& isles, const YearOfWeather& weather, const std::string& folder) {
  std::vector<std::string> dates;
  for (int day = 1; day <= weather.days; ++day) dates.push_back(iso_date(weather.year, day));
  const auto write = [&](const char* name, const char* unit, const std::vector<std::int16_t>& values) {
    std::vector<std::int16_t> bands(kWeatherGrid.size() * static_cast<std::size_t>(weather.days), kNoData);
    for (int day = 0; day < weather.days; ++day)
      for (std::size_t c = 0; c < weather.cells; ++c)
        bands[static_cast<std::size_t>(day) * kWeatherGrid.size() + isles.weather_cells[c]] = values[weather.at(day, c)];
    write_raster(folder + "/" + name + "_" + std::to_string(weather.year) + ".tif", kWeatherGrid, bands, weather.days, {unit, 0.1, dates});
  };
  write("rain", "mm", weather.rain_dmm);
  write("tmin", "degC", weather.tmin_dc);
  write("tmax", "degC", weather.tmax_dc);
}

}  // namespace

void copy_templates(const std::string& templates, const std::string& folder) {
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(templates))
    if (entry.is_regular_file() && (entry.path().extension() == ".toml" || entry.path().extension() == ".csv"))
      files.push_back(entry.path());
  if (files.empty()) throw std::runtime_error(templates + ": no season.toml and tables there");
  for (const auto& file : files) fs::copy_file(file, fs::path(folder) / file.filename(), fs::copy_options::overwrite_existing);
}

Archipelago make_archipelago(unsigned seed) {
  const Terrain terrain(seed);
  Archipelago isles;
  isles.regions = make_region_shapes(seed);
  isles.soils = soil_map(seed, kSoilGrid, terrain);
  isles.crop = crop_land(seed, kSoilGrid, terrain, isles.soils);
  const auto shore = region_of_cells(isles.regions, kSoilGrid, true);
  const auto touching = region_of_cells(isles.regions, kWeatherGrid, true), centred = region_of_cells(isles.regions, kWeatherGrid, false);
  for (int row = 0; row < kSoilGrid.rows; ++row)
    for (int column = 0; column < kSoilGrid.columns; ++column) {
      const std::size_t pixel = kSoilGrid.at(column, row);
      isles.mapped.push_back(touching[kWeatherGrid.at(column / kPixels, row / kPixels)] >= 0);
      if (shore[pixel] < 0) isles.crop[pixel] = false;
      isles.elevation_m.push_back(terrain.elevation_m(kSoilGrid.lon(column), kSoilGrid.lat(row)));
    }
  for (int row = 0; row < kWeatherGrid.rows; ++row)
    for (int column = 0; column < kWeatherGrid.columns; ++column) {
      const std::size_t cell = kWeatherGrid.at(column, row);
      if (touching[cell] < 0) continue;
      const auto region = centred[cell];
      add_weather_cell(isles, terrain, column, row, region < 0 ? std::string() : isles.regions[static_cast<std::size_t>(region)].id);
    }
  return isles;
}

void make_season_folder(const DemoChoice& choice) {
  if (choice.years < 1 || choice.years > kLastYear - kFirstYear + 1) throw std::runtime_error("--years must lie between 1 and 31");
  for (const char* part : {"weather", "soil"}) fs::create_directories(fs::path(choice.folder) / part);
  const Archipelago isles = make_archipelago(choice.seed);
  const std::string regions_path = choice.folder + "/regions.gpkg";
  fs::remove(regions_path);
  write_regions(isles.regions, regions_path);
  write_soils(isles, choice.folder + "/soil");

  std::vector<FieldBook::Cell> fields;
  for (std::size_t c = 0; c < isles.weather_cells.size(); ++c) fields.push_back({isles.region_of_cell[c], isles.water_mm[c]});
  FieldBook book(std::move(fields));
  std::vector<YearAnomaly> years = make_year_anomalies(choice.seed);
  years.erase(years.begin(), years.end() - choice.years);
  generate_weather(isles.climates, years, choice.seed, [&](const YearOfWeather& weather) {
    book.take(weather);
    write_weather_year(isles, weather, choice.folder + "/weather");
  });
  copy_templates(choice.templates, choice.folder);
  write_history(book.deliveries(choice.seed), choice.folder + "/history.csv");
}

}  // namespace rickyard::demo
