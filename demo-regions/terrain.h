#pragma once
// Height and mean annual rain of the archipelago: a wet west coast, a ridge of hills, a dry lee.
#include "demo-regions/smooth_fields.h"

namespace rickyard::demo {

class Terrain {
 public:
  explicit Terrain(unsigned seed);
  /// Metres above the sea, 2 to about 600; meaningful on land only.
  double elevation_m(double lon_deg, double lat_deg) const;
  /// Long-term mean, mm a year: about 1,500 on the west coast of the main island, about 600 in its lee.
  double annual_rain_mm(double lon_deg, double lat_deg) const;

 private:
  WaveNoise hills_, knolls_;
};

}  // namespace rickyard::demo
