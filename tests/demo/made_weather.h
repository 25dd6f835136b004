#pragma once
// The demo's weather, made once for all tests of this program.
#include <cmath>
#include <vector>

#include "demo-regions/deliveries.h"
#include "demo-regions/season_folder.h"
#include "demo-regions/weather_generator.h"

namespace rickyard::demo {

inline constexpr unsigned kSeed = 7;  // the program's default

struct MadeWeather {
  Archipelago isles = make_archipelago(kSeed);
  std::vector<YearAnomaly> anomalies = make_year_anomalies(kSeed);
  std::vector<YearOfWeather> years;
  FieldBook book{fields()};

  MadeWeather() {
    generate_weather(isles.climates, anomalies, kSeed, [this](const YearOfWeather& year) {
      years.push_back(year);
      book.take(year);
    });
  }

 private:
  std::vector<FieldBook::Cell> fields() const {
    std::vector<FieldBook::Cell> cells;
    for (std::size_t c = 0; c < isles.climates.size(); ++c) cells.push_back({isles.region_of_cell[c], isles.water_mm[c]});
    return cells;
  }
};

inline const MadeWeather& made_weather() {
  static const MadeWeather made;
  return made;
}

/// Every 50th cell: enough places, few enough to be quick.
inline std::vector<std::size_t> sample_cells() {
  std::vector<std::size_t> cells;
  for (std::size_t c = 0; c < made_weather().isles.climates.size(); c += 50) cells.push_back(c);
  return cells;
}

inline double correlation(const std::vector<double>& a, const std::vector<double>& b) {
  const double n = static_cast<double>(a.size());
  double sa = 0, sb = 0, saa = 0, sbb = 0, sab = 0;
  for (std::size_t i = 0; i < a.size(); ++i) sa += a[i], sb += b[i], saa += a[i] * a[i], sbb += b[i] * b[i], sab += a[i] * b[i];
  return (sab - sa * sb / n) / std::sqrt((saa - sa * sa / n) * (sbb - sb * sb / n));
}

}  // namespace rickyard::demo
