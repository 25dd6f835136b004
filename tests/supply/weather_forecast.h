#pragma once
// A forecast made by hand: what a daily season hands to supply.
#include <cmath>

#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"

namespace rickyard::test {

/// `years` weather years from 1990 of equal weight, two land units a row. Yields swing by `swing` (a model CV of 0.7 x swing) and N
/// against them. Several variants of daily rain differ by a few per cent.
inline HarvestForecast weather_forecast(const Season& season, int years, int variants = 1, double swing = 0.06) {
  HarvestForecast f;
  f.from_weather = true;
  f.variants = variants;
  for (int y = 0; y < years; ++y) {
    f.years.push_back(1990 + y);
    f.weights.push_back(1.0 / years);
  }
  for (std::size_t c = 0; c < season.contracts.size(); ++c) {
    ContractForecast row;
    row.contract = static_cast<int>(c);
    row.variants = variants;
    row.units = {0, 1};
    row.share = {0.25, 0.75};
    for (int v = 0; v < variants; ++v)
      for (int y = 0; y < years; ++y)
        for (int k = 0; k < 2; ++k) {
          const double wave = std::sin(2.1 * y + 0.3 * static_cast<double>(c)), ripple = 0.02 * std::sin(3.3 * v + 1.7 * y * v);
          row.harvest.push_back({*season.contracts[c].yield_t_ha * (1 + swing * wave + ripple + 0.1 * k),
                                 1.48 - 0.04 * wave - ripple + 0.05 * k, std::log(3.0), 0.01, 0.03});
        }
    row.dates.assign(static_cast<std::size_t>(years), {210, 300, 335, 350});
    f.contracts.push_back(row);
  }
  f.backup_yield_factor.resize(season.backups.size());
  return f;
}

}  // namespace rickyard::test
