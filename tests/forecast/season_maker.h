#pragma once
// Seasons for tests: all parameters of the rooms under test, contract rows with few words.
#include <vector>

#include "planner/crop/parameters.h"
#include "planner/quality/parameters.h"
#include "planner/season/season.h"
#include "planner/weather/parameters.h"

namespace rickyard::testing {

inline const std::vector<ParameterSpec>& parameter_table() {
  static const std::vector<ParameterSpec> table = [] {
    std::vector<ParameterSpec> all;
    for (const auto part : {weather_parameters(), crop_parameters(), quality_parameters()}) all.insert(all.end(), part.begin(), part.end());
    return all;
  }();
  return table;
}

inline Season make_season() {
  Season season{ParameterSet(parameter_table())};
  season.crop_year = 2026;
  return season;
}

inline ContractRow contract(const std::string& region, double planted_ha, double yield_t_ha, double n_pct) {
  ContractRow row;
  row.region = row.origin = region;
  row.contract = region + "-area";
  row.planted_ha = planted_ha;
  row.harvested_share = 0.97;
  row.yield_t_ha = yield_t_ha;
  row.typical_n_pct = n_pct;
  row.sow_planned = Date(2026, 3, 31);
  row.sow_latest = Date(2026, 4, 30);
  return row;
}

/// Worked book W of the trade: four regions.
inline Season book_w() {
  Season season = make_season();
  season.model = ForecastModel::formulas;
  season.contracts = {contract("A", 500, 6.0, 1.48), contract("B", 400, 6.3, 1.50), contract("C", 300, 6.6, 1.53),
                      contract("D", 300, 6.0, 1.50)};
  season.spec.limit_n_pct = season.spec.stop_n_pct = 1.65;
  return season;
}

}  // namespace rickyard::testing
