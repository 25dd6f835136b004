#pragma once
// Seasons with a history of deliveries, and forecasts of a made-up model, for the tests of calibration.
#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "planner/quality/harvest_forecast.h"
#include "planner/rules/all_parameters.h"
#include "planner/season/season.h"

namespace rickyard::testing {

/// A season of crop year 2027 with regions r0, r1, ..., each one contract row of 100 ha, 6 t/ha, 1.50 %N, all harvested.
inline Season delivery_season(int regions) {
  Season season{ParameterSet(all_parameters())};
  season.crop_year = 2027;
  for (int r = 0; r < regions; ++r) {
    ContractRow row;
    row.region = "r" + std::to_string(r);
    row.contract = row.region + "-area";
    row.planted_ha = 100;
    row.harvested_share = 1;
    row.yield_t_ha = 6;
    row.typical_n_pct = 1.50;
    row.typical_screenings_pct = 0.5;  // no screenings failure to speak of
    row.typical_other_failure_pct = 0;
    season.contracts.push_back(row);
  }
  return season;
}

inline UnitHarvest grain(double yield_t_ha, double n_pct, double ln_screenings = -3) {
  UnitHarvest unit;
  unit.yield_t_ha = yield_t_ha;
  unit.n_pct = n_pct;
  unit.ln_screenings = ln_screenings;
  return unit;
}

/// A forecast from weather: harvests [year][contract], one land unit a row.
inline HarvestForecast forecast_of(const Season& season, const std::vector<int>& years,
                                   const std::vector<std::vector<UnitHarvest>>& harvests) {
  HarvestForecast forecast;
  forecast.years = years;
  forecast.weights.assign(years.size(), 1.0 / static_cast<double>(years.size()));
  for (std::size_t c = 0; c < season.contracts.size(); ++c) {
    ContractForecast row;
    row.contract = static_cast<int>(c);
    row.units = {0};
    row.share = {1};
    for (const auto& year : harvests) row.harvest.push_back(year[c]);
    row.losses.resize(years.size());
    row.dates.resize(years.size());
    forecast.contracts.push_back(std::move(row));
  }
  return forecast;
}

/// The same harvest, 6 t/ha and 1.50 %N, in every year.
inline HarvestForecast steady_forecast(const Season& season, int first_year, int years) {
  std::vector<int> all;
  for (int y = 0; y < years; ++y) all.push_back(first_year + y);
  return forecast_of(season, all,
                     std::vector<std::vector<UnitHarvest>>(all.size(), std::vector<UnitHarvest>(season.contracts.size(), grain(6, 1.50))));
}

inline HistoryRow delivery(const std::string& region, int crop_year, double planted_ha, double delivered_t) {
  HistoryRow row;
  row.region = region;
  row.crop_year = crop_year;
  row.planted_ha = planted_ha;
  row.delivered_t = delivered_t;
  return row;
}

/// Standard normals by Box & Muller: the same on every machine.
class Normals {
 public:
  explicit Normals(unsigned seed) : engine_(seed) {}
  double operator()() {
    const double radius = std::sqrt(-2 * std::log(uniform()));
    return radius * std::cos(2 * 3.141592653589793 * uniform());
  }

 private:
  double uniform() { return (static_cast<double>(engine_() >> 11) + 0.5) / 9007199254740992.0; }
  std::mt19937_64 engine_;
};

}  // namespace rickyard::testing
