#include "planner/supply/cell_qualifying.h"

#include <limits>

#include "planner/quality/bands.h"
#include "planner/supply/contract_grain.h"

namespace rickyard {
namespace {

// Of one unit of a row, on harvested area: mean over the weather years (their weights) and draws of daily rain.
double mean_qualifying_t_ha(const HarvestForecast& forecast, const ContractGrain& grain, int k, const BandLimits& limits) {
  double t_ha = 0;
  for (int v = 0; v < forecast.variants; ++v)
    for (std::size_t y = 0; y < forecast.years.size(); ++y) {
      const int year = static_cast<int>(y);
      const auto& unit = grain.forecast->at(year, k, v);
      const BandShares bands = band_shares(
          limits,
          {unit.n_pct, grain.sigma(year, v), unit.ln_screenings, grain.screenings_sigma, unit.germination_failure, unit.other_failure},
          grain.farms);
      t_ha += forecast.weights[y] / forecast.variants * unit.yield_t_ha * bands.qualifying;
    }
  return t_ha;
}

}  // namespace

std::vector<double> cell_qualifying(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const Land& land) {
  const BandLimits limits = band_limits(season, patch);
  std::vector<double> tonnes(land.cells.size(), 0), hectares(land.cells.size(), 0);
  const auto grains = contract_grain(season, forecast);
  for (std::size_t c = 0; c < grains.size(); ++c) {
    const auto& row = season.contracts[c];
    const double planted_ha = planted_ha_of(row), harvested_share = row.harvested_share.value_or(0.97);
    const auto& grain = grains[c];
    for (std::size_t k = 0; k < grain.forecast->units.size(); ++k) {
      const double t_ha = harvested_share * mean_qualifying_t_ha(forecast, grains[c], static_cast<int>(k), limits);
      const auto cell = static_cast<std::size_t>(land.units[static_cast<std::size_t>(grain.forecast->units[k])].cell);
      const double ha = planted_ha * grain.forecast->share[k];
      tonnes[cell] += ha * t_ha;
      hectares[cell] += ha;
    }
  }
  std::vector<double> out(land.cells.size(), std::numeric_limits<double>::quiet_NaN());
  for (std::size_t i = 0; i < out.size(); ++i)
    if (hectares[i] > 0) out[i] = tonnes[i] / hectares[i];
  return out;
}

}  // namespace rickyard
