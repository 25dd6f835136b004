#include "demo-regions/national_land.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <stdexcept>

#include "demo-regions/soils.h"
#include "demo-regions/terrain.h"
#include "demo-regions/weather_generator.h"

namespace rickyard::demo {
namespace {

// Eleven times as fine as the demo's weather grid, the land touches about 240,000 cells; stretched by 22/7 these are of 1/84 degree, 0.98
// km2 at 56 N.
constexpr double kFinest = 11, kFinestCells = 240000;
constexpr Stretch kStretch{22.0 / 7};
constexpr double kPlantedHa = 50000;  // of all contracts

/// The demo's area in cells of another size.
Grid demo_grid(double finer) {
  const double width = kWeatherGrid.step_deg * kWeatherGrid.columns, height = kWeatherGrid.step_deg * kWeatherGrid.rows;
  Grid grid = kWeatherGrid;
  grid.columns = static_cast<int>(std::lround(kWeatherGrid.columns * finer));
  grid.step_deg = width / grid.columns;
  grid.rows = static_cast<int>(std::ceil(height / grid.step_deg - 1e-9));
  return grid;
}

Grid stretched(const Grid& grid) {
  return {kStretch.lon(grid.west_deg), kStretch.lat(grid.north_deg), kStretch.factor * grid.step_deg, grid.columns, grid.rows};
}

struct RegionMeans {
  double crop_cells = 0, annual_rain_mm = 0;
};

std::vector<RegionMeans> region_means(const NationalLand& land) {
  std::vector<RegionMeans> means(land.regions.size());
  for (std::size_t c = 0; c < land.land.size(); ++c) {
    const auto region = land.region_of[land.land[c]];
    if (region < 0) continue;
    auto& mean = means[static_cast<std::size_t>(region)];
    const double share = land.crop_share[land.land[c]];
    mean.crop_cells += share;
    mean.annual_rain_mm += share * land.climates[c].annual_rain_mm;
  }
  for (std::size_t r = 0; r < means.size(); ++r) {
    if (means[r].crop_cells <= 0)
      throw std::runtime_error("national season: " + land.regions[r].id + " is smaller than a cell; ask for more cells");
    means[r].annual_rain_mm /= means[r].crop_cells;
  }
  return means;
}

}  // namespace

NationalLand make_national_land(unsigned seed, int cells, int regions) {
  const Grid demo = demo_grid(kFinest * std::sqrt(cells / kFinestCells));
  NationalLand land;
  land.grid = stretched(demo);
  land.regions = make_wide_region_shapes(seed, regions, kStretch);
  const Terrain terrain(seed);
  land.soils = soil_map(seed, demo, terrain);
  land.crop_share = crop_shares(seed, demo, terrain, land.soils);
  land.region_of = region_of_cells(land.regions, land.grid, false);
  const auto touching = region_of_cells(land.regions, land.grid, true);
  for (int row = 0; row < demo.rows; ++row) {
    land.row_start.push_back(land.land.size());
    for (int column = 0; column < demo.columns; ++column) {
      const std::size_t cell = demo.at(column, row);
      if (touching[cell] < 0) continue;
      const double lon = demo.lon(column), lat = demo.lat(row);
      land.land.push_back(cell);
      land.climates.push_back({land.grid.lon(column), land.grid.lat(row), terrain.elevation_m(lon, lat), terrain.annual_rain_mm(lon, lat)});
    }
  }
  land.row_start.push_back(land.land.size());
  return land;
}

void write_national_contracts(const NationalLand& land, int dates, const std::string& path) {
  const auto means = region_means(land);
  double crop_cells = 0;
  for (const auto& mean : means) crop_cells += mean.crop_cells;
  std::ofstream file(path, std::ios::binary);
  file << "region,origin,contract,form,growers,planted_ha,harvested_share,contracted_t,yield_t_ha,typical_n_pct,typical_screenings_pct,"
          "typical_other_failure_pct,sow_earliest,sow_planned,sow_latest,sign_by,price_form,price,haul_per_t,held\n";
  for (std::size_t r = 0; r < means.size(); ++r) {
    // As in the demo: the dry lee grows more, and grain of less nitrogen.
    const double lee = std::clamp((1500 - means[r].annual_rain_mm) / 900, 0.0, 1.0);
    const double planted_ha = std::max(1.0, std::round(kPlantedHa * means[r].crop_cells / crop_cells));
    const double yield_t_ha = 5.0 + 1.1 * lee, n_pct = 1.50 - 0.03 * lee;
    const bool by_tonnage = r % 3 == 2;
    const int march15 = 74 + 3 * static_cast<int>(r % static_cast<std::size_t>(dates));  // day of the year 2027
    char contracted[32] = "";
    if (by_tonnage) std::snprintf(contracted, sizeof contracted, "%.0f", 0.9 * planted_ha * yield_t_ha);
    char line[400];
    std::snprintf(line, sizeof line,
                  "%s,%s,%s-%s,%s,%.0f,%.0f,0.97,%s,%.2f,%.3f,%.1f,%.0f,2027-03-01,%s,%s,2027-02-15,fixed,%.0f,%.0f,farm\n",
                  land.regions[r].id.c_str(), land.regions[r].island.c_str(), land.regions[r].id.c_str(), by_tonnage ? "tonnage" : "area",
                  by_tonnage ? "tonnage" : "area", std::max(1.0, planted_ha / 20), planted_ha, contracted, yield_t_ha, n_pct,
                  5.0 - 1.5 * lee, 8 - 4 * lee, iso_date(2027, march15).c_str(), iso_date(2027, march15 + 30).c_str(), 200 + 8 * (1 - lee),
                  8 + static_cast<double>(r % 10));
    file << line;
  }
  file.close();
  if (!file) throw std::runtime_error(path + ": cannot be written");
}

}  // namespace rickyard::demo
