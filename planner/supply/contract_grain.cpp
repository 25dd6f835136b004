#include "planner/supply/contract_grain.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "planner/quality/thin_grain.h"
#include "planner/supply/residual.h"

namespace rickyard {
namespace {

// Hectare-weighted variance of N between the units of one row and year.
double between_unit_variance(const ContractForecast& forecast, int year, int variant) {
  double mean = 0, square = 0;
  for (std::size_t k = 0; k < forecast.units.size(); ++k) mean += forecast.share[k] * forecast.at(year, static_cast<int>(k), variant).n_pct;
  for (std::size_t k = 0; k < forecast.units.size(); ++k) {
    const double d = forecast.at(year, static_cast<int>(k), variant).n_pct - mean;
    square += forecast.share[k] * d * d;
  }
  return square;
}

double or_else(double sum, double tonnes, double otherwise) { return tonnes > 0 ? sum / tonnes : otherwise; }

}  // namespace

BandGrain farms_of(const ContractGrain& grain, const UnitHarvest& unit, double n_pct, double sigma) {
  return {n_pct, sigma, unit.ln_screenings, grain.screenings_sigma, unit.germination_failure, unit.other_failure};
}

double planted_ha_of(const ContractRow& row) {
  if (row.planted_ha) return *row.planted_ha;
  const double per_ha = row.yield_t_ha.value_or(0);
  return per_ha > 0 ? row.contracted_t.value_or(0) / per_ha : 0;
}

std::vector<ContractGrain> contract_grain(const Season& season, const HarvestForecast& forecast) {
  const double sigma = season.parameters["n_sigma_farm_pct"], least = season.parameters["farm_n_sigma_floor_pct"];
  const auto farms = FarmCorrelation::of(season.parameters["n_screenings_correlation"]);
  const auto region = region_of_contract(season);
  std::vector<ContractGrain> out;
  for (std::size_t c = 0; c < season.contracts.size(); ++c) {
    const auto& row = season.contracts[c];
    ContractGrain grain{&forecast.contracts[c],
                        region[c],
                        planted_ha_of(row) * row.harvested_share.value_or(0.97),
                        {},
                        season.parameters["screenings_sigma_ln"],
                        farms};
    for (int v = 0; v < forecast.variants; ++v)
      for (int y = 0; y < static_cast<int>(forecast.years.size()); ++y)
        grain.sigma_n_pct.push_back(std::sqrt(std::max(least * least, sigma * sigma - between_unit_variance(*grain.forecast, y, v))));
    out.push_back(std::move(grain));
  }
  return out;
}

ContractScenario evaluate_contract(const ContractGrain& grain, int year, double yield_factor, double n_shift_pct, const BandLimits& limits,
                                   int variant) {
  ContractScenario out;
  std::array<double, kBands> band_n{};
  double offered = 0, n = 0, screenings = 0;
  const double sigma = grain.sigma(year, variant);
  for (std::size_t k = 0; k < grain.forecast->units.size(); ++k) {
    const auto& unit = grain.forecast->at(year, static_cast<int>(k), variant);
    const double t = grain.harvested_ha * grain.forecast->share[k] * unit.yield_t_ha * yield_factor;
    const double n_pct = unit.n_pct + n_shift_pct;
    const BandShares bands = band_shares(limits, farms_of(grain, unit, n_pct, sigma), grain.farms);
    if (k == 0) out.band_n_pct = bands.n_pct;
    offered += t;
    n += t * n_pct;
    screenings += t * std::exp(unit.ln_screenings);
    for (std::size_t b = 0; b < kBands; ++b) {
      out.band_t[b] += t * bands.share[b];
      band_n[b] += t * bands.share[b] * bands.n_pct[b];
    }
    out.rejected_nitrogen_t += t * bands.rejected_nitrogen;
    out.rejected_screenings_t += t * bands.rejected_screenings;
    out.rejected_germination_t += t * bands.rejected_germination;
    out.rejected_other_t += t * bands.rejected_other;
  }
  out.harvested_ha = grain.harvested_ha;
  out.yield_t_ha = grain.harvested_ha > 0 ? offered / grain.harvested_ha : 0;
  out.offered_t = offered;
  out.qualifying_t = out.band_t[0] + out.band_t[1] + out.band_t[2];
  out.with_claim_t = out.band_t[2];
  const double undefined = std::numeric_limits<double>::quiet_NaN();
  out.n_pct = or_else(n, offered, undefined);
  out.n_accepted_pct = or_else(band_n[0] + band_n[1] + band_n[2], out.qualifying_t, undefined);
  out.screenings_pct = or_else(screenings, offered, 0);
  // An empty band keeps the first unit's figure, which is its middle.
  for (std::size_t b = 0; b < kBands; ++b) out.band_n_pct[b] = or_else(band_n[b], out.band_t[b], out.band_n_pct[b]);
  return out;
}

void set_thin_band(const BandLimits& limits, double free_pct, const ThinBandSums& sums, std::size_t b, ContractScenario& out) {
  constexpr double kLeastShare = 1e-9;  // of all grain; below it the digits are gone
  const double most = std::exp(limits.ln_screenings_max);
  const bool some = sums.passing_t > kLeastShare * sums.all_t;
  out.band_screenings_pct[b] = std::min(some ? sums.screenings / sums.passing_t : out.screenings_pct, most);
  out.band_screenings_excess_pct[b] =
      some ? std::min(sums.excess / sums.passing_t, std::max(most - free_pct, 0.0)) : std::max(out.band_screenings_pct[b] - free_pct, 0.0);
}

void set_band_screenings(const ContractGrain& grain, int year, double n_shift_pct, const BandLimits& limits, double free_pct, int variant,
                         ContractScenario& out) {
  std::array<ThinBandSums, kBands> sums{};
  double all = 0;
  for (std::size_t k = 0; k < grain.forecast->units.size(); ++k) {
    const auto& unit = grain.forecast->at(year, static_cast<int>(k), variant);
    const BandGrain farms = farms_of(grain, unit, unit.n_pct + n_shift_pct, grain.sigma(year, variant));
    const double t = grain.forecast->share[k] * unit.yield_t_ha, sound = (1 - unit.germination_failure) * (1 - unit.other_failure);
    const BandShares bands = band_shares(limits, farms, grain.farms);
    const ThinGrain thin = thin_grain(limits, farms, grain.farms, free_pct);
    all += t;
    for (std::size_t b = 0; b < kBands; ++b) {
      sums[b].passing_t += t * bands.share[b];
      sums[b].screenings += t * sound * thin.screenings_pct[b];
      sums[b].excess += t * sound * thin.excess_pct[b];
    }
  }
  for (std::size_t b = 0; b < kBands; ++b) {
    sums[b].all_t = all;
    set_thin_band(limits, free_pct, sums[b], b, out);
  }
}

}  // namespace rickyard
