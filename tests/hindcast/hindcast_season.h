#pragma once
// A small daily season with weather of some twenty years: two regions on two cells, two soils each.
#include "planner/hindcast/make_hindcast.h"
#include "planner/rules/all_parameters.h"
#include "tests/forecast/season_maker.h"
#include "tests/forecast/weather_maker.h"

namespace rickyard::testing {

inline constexpr int kFirstYear = 2001, kHindcastYears = 12;

inline const WeatherArchive& hindcast_archive() {
  static const WeatherArchive archive =
      make_archive({Climate{}, Climate{700, 8.9}}, Date(kFirstYear - 1, 9, 1), Date(kFirstYear + kHindcastYears - 1, 12, 31), 21);
  return archive;
}

inline const Land& hindcast_land() {
  static const Land land = make_land(2, {soil_of(0.40, 0.20), soil_of(0.70, 0.10)});
  return land;
}

inline Season hindcast_input() {
  Season season{ParameterSet(all_parameters())};
  season.crop_year = 2026;
  season.as_of = Date(2026, 3, 1);
  season.seed = 11;
  season.parameters.set("drilling_parts", 1);
  season.parameters.set("bootstrap_replicates", 100);
  season.spec.limit_n_pct = season.spec.stop_n_pct = 1.65;
  season.contracts = {contract("A", 100, 6.0, 1.50), contract("B", 80, 5.8, 1.52)};
  return season;
}

/// Deliveries of the last `seasons` years: what the model itself grew there, and a little luck.
inline void add_history(Season& season, int seasons) {
  std::mt19937_64 engine(5);
  for (int year = kFirstYear + kHindcastYears - seasons; year < kFirstYear + kHindcastYears; ++year)
    for (const char* region : {"A", "B"}) {
      HistoryRow row;
      row.region = region;
      row.crop_year = year;
      row.planted_ha = 90 + year % 7;
      row.delivered_t = *row.planted_ha * (5.6 + 0.5 * normal(engine));
      row.qualifying_t = *row.delivered_t * 0.8;
      row.limit_n_pct = 1.65;
      row.n_pct = 1.52;
      season.history.push_back(row);
    }
}

inline Hindcast run(const Season& season, const HindcastRequest& request, int threads = 2) {
  return *make_hindcast(season, &hindcast_land(), {&hindcast_archive(), 1}, request, Growing{threads});
}

}  // namespace rickyard::testing
