// Open data against an independent program: counties and monthly weather that ship with R (packages sf and stars), covered
// fractions and means by terra::extract(exact = TRUE).
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <map>
#include <sstream>

#include "geo/land_units.h"
#include "geo/regions.h"
#include "scene.h"

using namespace rickyard;
using namespace rickyard::test;

namespace {

const char* const kCounties = "/usr/lib/R/site-library/sf/gpkg/nc.gpkg";
const char* const kWeather = "/usr/lib/R/site-library/stars/nc/bcsd_obs_1999.nc";

// What the season must state: the file names no reference system, spells its rain unit "mm/m" and holds only mean temperature.
Season county_season() {
  Season season = empty_season();
  season.regions = {"nc.gpkg", "NAME", "", "", ""};
  season.soil = UniformSoil{40, 20, 2.5, {}, {}};
  season.diurnal_range_c = 11;
  season.rasters["rain"] = RasterSource{"weather.nc", "pr", "EPSG:4326", "mm/month", "", "", {}, {}, {}, "month"};
  season.rasters["tmean"] = RasterSource{"weather.nc", "tas", "EPSG:4326", "", "", "", {}, {}, {}, "month"};
  return season;
}

void copy_data(const TemporaryFolder& folder) {
  REQUIRE_MESSAGE(std::filesystem::exists(kCounties), "r-cran-sf must be installed");
  REQUIRE_MESSAGE(std::filesystem::exists(kWeather), "r-cran-stars must be installed");
  std::filesystem::copy_file(kCounties, folder / "nc.gpkg");
  std::filesystem::copy_file(kWeather, folder / "weather.nc");
}

std::string problems_of(const Season& season, const TemporaryFolder& folder) {
  Progress progress;
  return lines(read_geography(season, folder.path(), progress).problems);
}

// Rows of numbers; the header is left out.
std::vector<std::vector<double>> read_csv(const std::string& path) {
  std::ifstream in(path);
  REQUIRE(in.good());
  std::vector<std::vector<double>> rows;
  std::string line;
  std::getline(in, line);
  while (std::getline(in, line)) {
    std::vector<double> row;
    std::istringstream cells(line);
    for (std::string cell; std::getline(cells, cell, ',');) row.push_back(cell == "NA" ? std::nan("") : std::stod(cell));
    rows.push_back(row);
  }
  return rows;
}

// Cut without a reference system, that is in the plane, as here. With one in degrees terra 1.7-3 cuts other shapes: its covered
// area of a county is 6e-5 too large against st_area of the same corners, fractions differ by up to 3e-4.
const char* const kScript = R"(
suppressMessages(library(terra))
args <- commandArgs(trailingOnly = TRUE)
v <- vect(args[1]); crs(v) <- ""
out <- NULL; means <- NULL
for (name in c("pr", "tas")) {
  r <- rast(args[2], subds = name)
  n <- nlyr(r)
  crs(r) <- ""
  e <- extract(r, v, exact = TRUE, cells = TRUE)
  crs(r) <- "EPSG:4326"
  size <- values(cellSize(r[[1]], mask = FALSE, unit = "m"))[e$cell]
  if (is.null(out)) out <- data.frame(region = e$ID, cell = e$cell, fraction = e$fraction)
  for (b in 1:n) {
    x <- e[[1 + b]]
    ok <- !is.na(x)
    plain <- tapply(x[ok] * e$fraction[ok], e$ID[ok], sum) / tapply(e$fraction[ok], e$ID[ok], sum)
    w <- e$fraction[ok] * size[ok]
    sized <- tapply(x[ok] * w, e$ID[ok], sum) / tapply(w, e$ID[ok], sum)
    means <- rbind(means, data.frame(variable = if (name == "pr") 0 else 1, band = b, region = as.integer(names(plain)), plain = as.numeric(plain), sized = as.numeric(sized)))
  }
}
options(digits = 17)
write.csv(format(out, digits = 17, trim = TRUE), args[3], row.names = FALSE, quote = FALSE)
write.csv(format(means, digits = 17, trim = TRUE), args[4], row.names = FALSE, quote = FALSE)
)";

struct TerraAnswer {
  std::vector<std::map<int, double>> fraction;                          // [region][cell]
  std::map<std::tuple<int, int, int>, std::pair<double, double>> mean;  // (variable, band, region): plain, by cell size
};

TerraAnswer ask_terra(const TemporaryFolder& folder, const std::string& polygons, std::size_t regions) {
  write_text(folder / "extract.R", kScript);
  const std::string command = "/usr/bin/Rscript --vanilla '" + (folder / "extract.R") + "' '" + polygons + "' '" + (folder / "weather.nc") +
                              "' '" + (folder / "fractions.csv") + "' '" + (folder / "means.csv") + "' > '" + (folder / "r.log") + "' 2>&1";
  const int ended = std::system(command.c_str());
  std::ifstream log(folder / "r.log");
  std::stringstream said;
  said << log.rdbuf();
  REQUIRE_MESSAGE(ended == 0, "r-cran-terra must be installed; Rscript says: " << said.str());
  TerraAnswer answer;
  answer.fraction.resize(regions);
  for (const auto& row : read_csv(folder / "fractions.csv"))
    answer.fraction[static_cast<std::size_t>(row[0]) - 1][static_cast<int>(row[1]) - 1] += row[2];
  for (const auto& row : read_csv(folder / "means.csv"))
    answer.mean[{static_cast<int>(row[0]), static_cast<int>(row[1]) - 1, static_cast<int>(row[2]) - 1}] = {row[3], row[4]};
  return answer;
}

// Every value of a stack: [band][row * columns + column].
std::vector<std::vector<double>> all_values(const RasterStack& stack) {
  const GridDefinition& grid = stack.grid();
  std::vector<std::vector<double>> out(
      static_cast<std::size_t>(stack.bands()),
      std::vector<double>(static_cast<std::size_t>(grid.columns) * static_cast<std::size_t>(grid.rows), 1e30));
  stack.read({0, grid.rows, 0, grid.columns}, [&](const Tile& tile) {
    for (int b = 0; b < tile.bands; ++b)
      for (int r = 0; r < tile.rows; ++r)
        for (int c = 0; c < tile.columns; ++c)
          out[static_cast<std::size_t>(tile.band + b)][static_cast<std::size_t>((tile.row + r) * grid.columns + tile.column + c)] =
              tile.values[static_cast<std::size_t>((b * tile.rows + r) * tile.columns + c)];
  });
  return out;
}

}  // namespace

TEST_CASE("counties and monthly weather: refused without reference system, unit or diurnal range") {
  TemporaryFolder folder;
  copy_data(folder);
  Season season = county_season();
  season.rasters["rain"].crs = "";
  CHECK(
      problems_of(season, folder) ==
      "error: weather.nc: has no coordinate reference system; state it in [rasters.rain] of season.toml, for instance crs = \"EPSG:4326\"");
  season = county_season();
  season.rasters["rain"].unit = "";
  CHECK(problems_of(season, folder) ==
        "error: weather.nc: \"mm/m\": the unit is not known for rain; state it in [rasters.rain] of season.toml by unit = one of: mm, kg "
        "m-2, mm/month, kg m-2/month, mm/day, m/day, kg m-2/day, "
        "kg m-2/s, mm/s, m/s, mm/h");
  season = county_season();
  season.diurnal_range_c.reset();
  CHECK(problems_of(season, folder) ==
        "error: season.toml (diurnal_range_c): only mean temperature is given, and the range between night and day is not stated; state "
        "diurnal_range_c, the mean of tmax less tmin in C");
}

TEST_CASE("counties and monthly weather: fractions and means agree with terra, short counties are named") {
  TemporaryFolder folder;
  copy_data(folder);
  const Season season = county_season();
  Progress progress;
  const auto reading = read_geography(season, folder.path(), progress);
  REQUIRE(reading.monthly.has_value());
  CHECK(reading.monthly->months == 12);
  CHECK(reading.monthly->first_month == Month{1999, 1});
  REQUIRE(reading.land.regions.size() == 100);

  // The polygons as they lie on the grid go to terra, so that both cut the same shapes.
  InputLog log(folder.path());
  const auto layer = read_region_layer(season.regions, log);
  REQUIRE(layer.has_value());
  const auto rain = RasterStack::open({"rain", Quantity::rain, true}, season.rasters.at("rain"), log),
             tmean = RasterStack::open({"tmean", Quantity::temperature, true}, season.rasters.at("tmean"), log);
  REQUIRE_MESSAGE((rain && tmean), lines(log.problems));
  const GridDefinition& grid = rain->grid();
  const Transform to_grid(layer->crs_wkt, grid.crs_wkt, box_of(*layer));
  CHECK_FALSE(to_grid.identity());  // NAD27
  std::vector<TestRegion> on_grid;
  for (const auto& region : layer->regions)
    on_grid.push_back({region.id, bend(region.shape, to_grid, bend_tolerance(grid.crs_wkt)).value()});
  write_regions(folder / "on_grid.gpkg", on_grid, "EPSG:4326");
  const TerraAnswer terra = ask_terra(folder, folder / "on_grid.gpkg", on_grid.size());

  CellList everywhere(static_cast<std::size_t>(grid.columns) * static_cast<std::size_t>(grid.rows));
  for (std::size_t i = 0; i < everywhere.size(); ++i) everywhere[i] = static_cast<int>(i);
  const CellGeometry geometry = cell_geometry(grid, everywhere);
  const std::vector<std::vector<std::vector<double>>> values = {all_values(*rain), all_values(*tmean)};
  double worst_fraction = 0, worst_plain = 0, worst_sized = 0;
  int compared = 0;
  std::string expected_problems;
  for (std::size_t r = 0; r < on_grid.size(); ++r) {
    std::map<int, double> ours;
    for (const auto& run : cell_coverage(on_grid[r].shape, grid))
      for (int c = 0; c < run.count; ++c) ours[run.row * grid.columns + run.column + c] = run.fraction;
    auto cells = ours;
    for (const auto& [cell, fraction] : terra.fraction[r]) cells[cell];
    for (const auto& [cell, unused] : cells) {
      const auto theirs = terra.fraction[r].find(cell);
      worst_fraction = std::max(
          worst_fraction, std::abs((ours.contains(cell) ? ours[cell] : 0) - (theirs == terra.fraction[r].end() ? 0 : theirs->second)));
    }
    for (int variable = 0; variable < 2; ++variable)
      for (int band = 0; band < 12; ++band) {
        double sum = 0, weight = 0, sized_sum = 0, sized_weight = 0;
        for (const auto& [cell, fraction] : ours) {
          const double value = values[static_cast<std::size_t>(variable)][static_cast<std::size_t>(band)][static_cast<std::size_t>(cell)];
          if (std::isnan(value)) continue;
          sum += fraction * value;
          weight += fraction;
          const double area = fraction * geometry.area_m2[static_cast<std::size_t>(cell)];
          sized_sum += area * value;
          sized_weight += area;
        }
        const auto& [plain, sized] = terra.mean.at({variable, band, static_cast<int>(r)});
        worst_plain = std::max(worst_plain, std::abs(sum / weight / plain - 1));
        worst_sized = std::max(worst_sized, std::abs(sized_sum / sized_weight / sized - 1));
        ++compared;
      }
  }
  MESSAGE("largest differences from terra: fraction " << worst_fraction << ", mean " << worst_plain << ", area-weighted mean "
                                                      << worst_sized);
  CHECK(compared == 2400);
  CHECK(worst_fraction < 1e-6);
  CHECK(worst_plain < 1e-6);
  CHECK(worst_sized < 1e-6);

  // The whole way: hectares on land units and the monthly archive give the same area-weighted means.
  int whole = 0, short_of_weather = 0;
  for (std::size_t r = 0; r < 100; ++r) {
    const Region& region = reading.land.regions[r];
    CHECK(region.id == layer->regions[r].id);
    if (region.valid_share < 0.9) {
      ++short_of_weather;
      continue;
    }
    ++whole;
    for (int month = 0; month < 12; ++month) {
      double rain_sum = 0, mean_sum = 0, ha = 0;
      for (const auto& share : region.units) {
        const auto at = static_cast<std::size_t>(month) * static_cast<std::size_t>(reading.monthly->cells) +
                        static_cast<std::size_t>(reading.land.units[static_cast<std::size_t>(share.unit)].cell);
        rain_sum += share.ha * reading.monthly->rain_mm[at];
        mean_sum += share.ha * (reading.monthly->tmin_c[at] + reading.monthly->tmax_c[at]) / 2;
        ha += share.ha;
      }
      CHECK(rain_sum / ha == doctest::Approx(terra.mean.at({0, month, static_cast<int>(r)}).second).epsilon(1e-6));
      CHECK(mean_sum / ha == doctest::Approx(terra.mean.at({1, month, static_cast<int>(r)}).second).epsilon(1e-6));
    }
  }
  CHECK(whole + short_of_weather == 100);
  CHECK(whole > 80);
  CHECK(short_of_weather > 0);
  int named = 0;
  for (const auto& problem : reading.problems) {
    const bool refused = problem.severity == Severity::error;
    if (refused) {
      ++named;
      CHECK(problem.place.starts_with("nc.gpkg: region \""));
      CHECK(problem.message == "too little of its area has weather and soil (at least 90 % is needed)");
    }
  }
  CHECK(named == short_of_weather);
  MESSAGE(short_of_weather << " counties are short of weather, the first: " << lines({reading.problems.front()}));
}

TEST_CASE("county areas agree with the survey's figures") {
  // nc.gpkg carries AREA in squared degrees only; the state's land and inland water within these outlines is 127,000 km2 in the
  // sources that come with the data (from memory, so within 1 %).
  TemporaryFolder folder;
  copy_data(folder);
  Season season = county_season();
  season.rasters = {};
  Progress progress;
  const auto reading = read_geography(season, folder.path(), progress);
  CHECK(lines(reading.problems) == "");
  double ha = 0;
  for (const auto& region : reading.land.regions) ha += region.area_ha;
  CHECK(ha == doctest::Approx(12.7e6).epsilon(0.01));
}
