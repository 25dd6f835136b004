#pragma once
// Three invented cells over thirty years, and the soils on them: what the crop and anchor tests share.
#include "tests/forecast/season_maker.h"
#include "tests/forecast/weather_maker.h"

namespace rickyard::testing {

// Cell 0: 800 mm a year; cell 1: wet windward, 1,500 mm, cloudier; cell 2: dry lee, 600 mm.
inline const WeatherArchive& islands() {
  static const WeatherArchive archive = [] {
    std::vector<Climate> climates(3);
    climates[1] = {1500, 8.6, 6.2, 6.5, 4.2, 0.60, 0.10};
    climates[2] = {600, 8.6, 6.2, 7.5, 4.8, 0.42, 0.0};
    return make_archive(climates, Date(1990, 9, 1), Date(2020, 12, 31), 7);
  }();
  return archive;
}

// Units 0, 3, 6 are loam; 1, 4, 7 loamy sand; 2, 5, 8 clay.
inline const Land& island_land() {
  static const Land land = make_land(3, {soil_of(0.40, 0.20), soil_of(0.80, 0.05), soil_of(0.25, 0.50)});
  return land;
}

}  // namespace rickyard::testing
