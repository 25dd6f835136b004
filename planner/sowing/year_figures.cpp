#include "planner/sowing/year_figures.h"

#include <cmath>
#include <limits>

#include "planner/supply/contract_grain.h"

namespace rickyard {
namespace {

// Over the years where the figure is defined; four NaN where it is nowhere.
Range over_defined(const std::vector<double>& values, const std::vector<double>& weights) {
  std::vector<double> kept, kept_weights;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (std::isnan(values[i]) || !(weights[i] > 0)) continue;
    kept.push_back(values[i]);
    kept_weights.push_back(weights[i]);
  }
  constexpr double kMissing = std::numeric_limits<double>::quiet_NaN();
  return kept.empty() ? Range{kMissing, kMissing, kMissing, kMissing} : weighted_range(kept, kept_weights);
}

}  // namespace

Season one_hectare(const Season& season, std::size_t contract) {
  Season one = season;
  ContractRow row = season.contracts[contract];
  row.form = ContractForm::area;
  row.planted_ha = row.harvested_share = 1;
  one.contracts = {row};
  one.backups.clear();
  return one;
}

YearFigures year_figures(const Season& one, const HarvestForecast& forecast, double yield_factor, double n_shift_pct) {
  const BandLimits limits = band_limits(one, {});
  const auto grain = contract_grain(one, forecast).front();
  YearFigures out;
  for (int y = 0; y < static_cast<int>(forecast.years.size()); ++y) {
    const auto t = evaluate_contract(grain, y, yield_factor, n_shift_pct, limits);
    const bool any = t.offered_t > 0;
    out.yield_t_ha.push_back(t.yield_t_ha);
    out.n_pct.push_back(t.n_pct);
    out.screenings_pct.push_back(any ? t.screenings_pct : std::numeric_limits<double>::quiet_NaN());
    out.n_share.push_back(any ? 1 - t.rejected_nitrogen_t / t.offered_t : 0);
    out.qualifying_share.push_back(any ? t.qualifying_t / t.offered_t : 0);
    out.qualifying_t_ha.push_back(t.qualifying_t);
    out.rejected_nitrogen_t_ha.push_back(t.rejected_nitrogen_t);
    out.rejected_screenings_t_ha.push_back(t.rejected_screenings_t);
    out.rejected_germination_t_ha.push_back(t.rejected_germination_t);
    out.rejected_other_t_ha.push_back(t.rejected_other_t);
  }
  return out;
}

void set_ranges(const YearFigures& figures, const std::vector<double>& weights, SowingResult& result) {
  result.yield_t_ha = weighted_range(figures.yield_t_ha, weights);
  result.n_pct = over_defined(figures.n_pct, weights);
  result.screenings_pct = over_defined(figures.screenings_pct, weights);
  result.n_share = weighted_range(figures.n_share, weights);
  result.qualifying_share = weighted_range(figures.qualifying_share, weights);
  result.qualifying_t_ha = weighted_range(figures.qualifying_t_ha, weights);
  result.qualifying_t_ha_by_year = figures.qualifying_t_ha;
}

SowingChange change(const SowingResult& from, const SowingResult& to) {
  SowingChange out;
  out.yield_pct = from.yield_t_ha.mean > 0 ? 100 * (to.yield_t_ha.mean / from.yield_t_ha.mean - 1) : 0;
  // Nothing grown has no nitrogen to compare.
  out.n_pct = std::isnan(from.n_pct.mean) || std::isnan(to.n_pct.mean) ? 0 : to.n_pct.mean - from.n_pct.mean;
  out.n_share = to.n_share.mean - from.n_share.mean;
  out.qualifying_share = to.qualifying_share.mean - from.qualifying_share.mean;
  out.qualifying_t_ha = to.qualifying_t_ha.mean - from.qualifying_t_ha.mean;
  return out;
}

}  // namespace rickyard
