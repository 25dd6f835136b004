#pragma once
// The season that the sowing tests share: three invented islands, thirty springs, one contract on each.
#include <vector>

#include "planner/quality/forecast_harvest.h"
#include "planner/sowing/make_advice.h"
#include "planner/sowing/parameters.h"
#include "planner/supply/parameters.h"
#include "tests/forecast/islands.h"

namespace rickyard::testing {

inline const std::vector<ParameterSpec>& sowing_table() {
  static const std::vector<ParameterSpec> table = [] {
    std::vector<ParameterSpec> all = parameter_table();
    for (const auto part : {supply_parameters(), sowing_parameters()}) all.insert(all.end(), part.begin(), part.end());
    return all;
  }();
  return table;
}

inline Season sowing_season(ForecastModel model = ForecastModel::daily) {
  Season season{ParameterSet(sowing_table())};
  season.crop_year = 2026;
  season.as_of = Date(2026, 1, 15);
  season.model = model;
  season.contracts = {contract("A", 500, 6.0, 1.50), contract("B", 400, 6.3, 1.50), contract("C", 300, 6.6, 1.53)};
  for (auto& row : season.contracts) row.sow_earliest = Date(2026, 3, 10);
  season.spec.limit_n_pct = season.spec.stop_n_pct = 1.65;
  return season;
}

/// The advice of all three islands, made once.
inline const std::vector<SowingAdvice>& island_advice() {
  static const std::vector<SowingAdvice> advice = [] {
    const Season season = sowing_season();
    const BaseHarvest base = grow_base(season, island_land(), islands(), Growing{2});
    return sowing_advice(season, {}, island_land(), islands(), base, Growing{2});
  }();
  return advice;
}

inline const SowingDate& date_of(const SowingAdvice& advice, const Date& date) {
  for (const auto& tried : advice.dates)
    if (tried.date == date) return tried;
  throw std::out_of_range("no such date was tried");
}

}  // namespace rickyard::testing
