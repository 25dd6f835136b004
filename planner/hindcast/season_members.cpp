#include "planner/hindcast/season_members.h"

#include <cmath>

#include "planner/quality/bands.h"
#include "planner/supply/contract_draws.h"
#include "planner/supply/contract_grain.h"

namespace rickyard {
namespace {

BandLimits limits_of(const Season& season, const RegionTerms& terms) {
  SeasonPatch then;
  then.limit_n_pct = then.stop_n_pct = terms.limit_n_pct;
  return band_limits(season, then);
}

// Tonnes-weighted mean N of a row's units before any draw, and their yield, t/ha.
struct RowGrain {
  double t_ha = 0, n_t = 0;
};
RowGrain row_grain(const ContractForecast& row, int year, int variant) {
  RowGrain sum;
  for (std::size_t k = 0; k < row.units.size(); ++k) {
    const auto& unit = row.at(year, static_cast<int>(k), variant);
    sum.t_ha += row.share[k] * unit.yield_t_ha;
    sum.n_t += row.share[k] * unit.yield_t_ha * unit.n_pct;
  }
  return sum;
}

}  // namespace

SeasonMembers season_members(const Season& season, const HarvestForecast& forecast, const ResidualModel& law,
                             const std::vector<RegionTerms>& terms, int draws) {
  const auto grain = contract_grain(season, forecast);
  const auto regions = static_cast<std::size_t>(law.regions);
  const std::size_t members = forecast.years.size() * static_cast<std::size_t>(draws);
  SeasonMembers out;
  for (const double weight : forecast.weights) out.weights.insert(out.weights.end(), static_cast<std::size_t>(draws), weight / draws);
  out.regions.assign(regions, {std::vector<double>(members, 0), std::vector<double>(members, 0), std::vector<double>(members, 0)});
  std::vector<ContractDraws> work;
  for (const auto& one : terms) work.emplace_back(limits_of(season, one), season.parameters["screenings_free_pct"]);
  RowDraws row;
  std::vector<double> offered, qualifying;
  std::vector<std::size_t> at;
  for (std::size_t y = 0; y < forecast.years.size(); ++y) {
    const auto drawn = residual_year(law, season.seed, forecast.years[y], draws);
    for (const auto& one : grain) {
      const auto r = static_cast<std::size_t>(one.region);
      RegionMembers& sum = out.regions[r];
      for (int v = 0; v < forecast.variants; ++v) {
        at.clear();
        row.yield_factor.clear();
        row.n_shift_pct.clear();
        for (int d = 0; d < draws; ++d) {
          if (variant_of(forecast.years[y], d, forecast.variants) != v) continue;
          at.push_back(y * static_cast<std::size_t>(draws) + static_cast<std::size_t>(d));
          row.yield_factor.push_back(drawn.yield_factor[r][static_cast<std::size_t>(d)] * terms[r].area_factor);
          row.n_shift_pct.push_back(drawn.n_pct[r][static_cast<std::size_t>(d)] + terms[r].n_offset_pct);
        }
        if (at.empty()) continue;
        offered.resize(at.size());
        qualifying.resize(at.size());
        work[r].totals(one, static_cast<int>(y), v, row, offered, qualifying);
        const RowGrain field = row_grain(*one.forecast, static_cast<int>(y), v);
        for (std::size_t i = 0; i < at.size(); ++i) {
          sum.offered_t[at[i]] += offered[i];
          sum.qualifying_t[at[i]] += qualifying[i];
          if (field.t_ha > 0) sum.n_pct[at[i]] += offered[i] * (field.n_t / field.t_ha + row.n_shift_pct[i]);
        }
      }
    }
  }
  for (auto& region : out.regions)
    for (std::size_t m = 0; m < members; ++m)
      region.n_pct[m] = region.offered_t[m] > 0 ? region.n_pct[m] / region.offered_t[m] : std::nan("");
  return out;
}

}  // namespace rickyard
