#pragma once
// One contract row in one scenario: tonnes by band and cause from its land units.
#include <vector>

#include "planner/quality/bands.h"
#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// A contract row ready for the loop over scenarios.
struct ContractGrain {
  const ContractForecast* forecast = nullptr;
  int region = 0;
  double harvested_ha = 0;          // planted x harvested share
  std::vector<double> sigma_n_pct;  // [variant][year] spread of N between farms on one unit
  double screenings_sigma = 0.35;   // of log-screenings between farms
  FarmCorrelation farms;            // of N with log-screenings
  double sigma(int year, int variant) const {
    return sigma_n_pct[static_cast<std::size_t>(variant) * forecast->years() + static_cast<std::size_t>(year)];
  }
};

std::vector<ContractGrain> contract_grain(const Season& season, const HarvestForecast& forecast);

/// Grain of one of the row's units at a mean N, with the spread `sigma` of N between farms.
BandGrain farms_of(const ContractGrain& grain, const UnitHarvest& unit, double n_pct, double sigma);

/// The scalar code, which contract_draws.h must agree with. Sums the units; yield_factor multiplies the yield, n_shift_pct is added to N.
/// variant: of the daily rain.
ContractScenario evaluate_contract(const ContractGrain& grain, int year, double yield_factor, double n_shift_pct, const BandLimits& limits,
                                   int variant = 0);

/// Fills the screenings of the accepted grain of `out`, which evaluate_contract made for the same year, shift and variant. A band that
/// holds no grain to speak of shows the row's own screenings, held to the maximum.
void set_band_screenings(const ContractGrain& grain, int year, double n_shift_pct, const BandLimits& limits, double free_pct, int variant,
                         ContractScenario& out);

/// Sums over units, in tonnes at any common scale: all grain; the accepted grain of a band; that times its mean screenings, and times its
/// mean screenings above the share free of claim, in per cent.
struct ThinBandSums {
  double passing_t = 0, all_t = 0, screenings = 0, excess = 0;
};
/// Fills the screenings of band b of `out`, whose screenings_pct is made.
void set_thin_band(const BandLimits& limits, double free_pct, const ThinBandSums& sums, std::size_t b, ContractScenario& out);

/// Planted hectares of a row: planted_ha; for a tonnage contract without it contracted_t / yield.
double planted_ha_of(const ContractRow& row);

}  // namespace rickyard
