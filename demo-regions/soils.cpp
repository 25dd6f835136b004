#include "demo-regions/soils.h"

#include <algorithm>

namespace rickyard::demo {

const std::array<SoilSeries, 8> kSoilSeries = {{
    {"dune sand", 84, 5, 1.5, 0.7},
    {"light sandy loam", 66, 11, 2.4, 0.9},
    {"sandy loam", 56, 16, 3.0, 1.0},
    {"loam", 42, 21, 3.4, 1.1},
    {"silt loam", 22, 18, 3.2, 1.2},
    {"clay loam", 32, 33, 3.8, 1.0},
    {"clay", 20, 46, 4.2, 0.9},
    {"peaty loam", 48, 14, 7.5, 0.8},
}};

std::vector<std::uint8_t> soil_map(unsigned seed, const Grid& grid, const Terrain& terrain) {
  const WaveNoise texture(seed, 301, 0.22), detail(seed, 302, 0.05);
  std::vector<std::uint8_t> map(grid.size());
  for (int row = 0; row < grid.rows; ++row)
    for (int column = 0; column < grid.columns; ++column) {
      const double lon = grid.lon(column), lat = grid.lat(row);
      const double wetness = (terrain.annual_rain_mm(lon, lat) - 600) / 900;  // 0 in the lee, 1 on the wet coast
      const double heavy = texture.at(lon, lat) + 0.35 * detail.at(lon, lat) + 0.9 * wetness;
      // Bounds between the series, from light to heavy; peat lies on wet high ground.
      std::uint8_t series = 0;
      for (const double bound : {-1.6, -0.7, -0.1, 0.5, 0.9, 1.7})
        if (heavy > bound) ++series;
      if (terrain.elevation_m(lon, lat) > 170 && wetness > 0.3 && detail.at(lon, lat) > 0) series = 7;
      map[grid.at(column, row)] = series;
    }
  return map;
}

std::vector<bool> crop_land(unsigned seed, const Grid& grid, const Terrain& terrain, const std::vector<std::uint8_t>& soils) {
  const WaveNoise fields(seed, 303, 0.07);
  std::vector<bool> crop(grid.size());
  for (int row = 0; row < grid.rows; ++row)
    for (int column = 0; column < grid.columns; ++column) {
      const std::size_t cell = grid.at(column, row);
      const double lon = grid.lon(column), lat = grid.lat(row);
      crop[cell] = terrain.elevation_m(lon, lat) < 200 && soils[cell] != 7 && fields.at(lon, lat) > -0.1;
    }
  return crop;
}

std::vector<double> crop_shares(unsigned seed, const Grid& grid, const Terrain& terrain, const std::vector<std::uint8_t>& soils) {
  const WaveNoise fields(seed, 303, 0.07);
  std::vector<double> shares(grid.size());
  for (int row = 0; row < grid.rows; ++row)
    for (int column = 0; column < grid.columns; ++column) {
      const std::size_t cell = grid.at(column, row);
      const double lon = grid.lon(column), lat = grid.lat(row);
      const bool ploughed = terrain.elevation_m(lon, lat) < 200 && soils[cell] != 7;
      shares[cell] = std::clamp((ploughed ? 1.0 : 0.1) * (0.45 + 0.2 * fields.at(lon, lat)), 0.02, 0.95);
    }
  return shares;
}

}  // namespace rickyard::demo
