#include "demo-regions/terrain.h"

#include <algorithm>
#include <cmath>

namespace rickyard::demo {
namespace {

constexpr double kRidgeLon = -28.72;

double bell(double x, double width) { return std::exp(-0.5 * (x / width) * (x / width)); }
double falling_step(double x, double width) { return 1 / (1 + std::exp(x / width)); }

}  // namespace

Terrain::Terrain(unsigned seed) : hills_(seed, 201, 0.35), knolls_(seed, 202, 0.06) {}

double Terrain::elevation_m(double lon_deg, double lat_deg) const {
  const double ridge = 340 * bell(lon_deg - kRidgeLon, 0.09) * (0.8 + 0.25 * hills_.at(lon_deg, lat_deg));
  const double skerrith_hills = 160 * bell(lon_deg + 27.12, 0.08) * bell(lat_deg - 56.78, 0.15);
  const double rolling = 55 + 28 * hills_.at(lon_deg, lat_deg) + 9 * knolls_.at(lon_deg, lat_deg);
  return std::max(2.0, ridge + skerrith_hills + rolling);
}

double Terrain::annual_rain_mm(double lon_deg, double lat_deg) const {
  const double lee = 600, windward = 1500;
  const double main_island = lee + (windward - lee) * falling_step(lon_deg - (kRidgeLon - 0.04), 0.05);
  const double skerrith = lat_deg > 56.3 && lon_deg > -27.6 ? 80 + 230 * falling_step(lon_deg + 27.1, 0.08) : 0;
  return main_island + skerrith;
}

}  // namespace rickyard::demo
