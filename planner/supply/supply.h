#pragma once
// Supply scenarios: tonnes by contract, N band and cause, for every weather year and residual draw.
#include <array>
#include <string>
#include <vector>

#include "planner/base/calendar.h"
#include "planner/base/range.h"

namespace rickyard {

/// N bands of accepted grain: floor..1.50, 1.50..limit, limit..stop; after_harvest adds stop..limit_max.
/// An empty band (for instance limit = stop) holds 0 t.
inline constexpr int kBands = 4;

/// One contract in one scenario. Tonnes at 14.5 % moisture.
struct ContractScenario {
  double harvested_ha = 0;
  double yield_t_ha = 0;    // on harvested area
  double offered_t = 0;     // all harvested grain of the contract's hectares
  double qualifying_t = 0;  // between floor and stop with every other point met
  double with_claim_t = 0;  // part of it above the limit
  double rejected_nitrogen_t = 0, rejected_screenings_t = 0, rejected_germination_t = 0, rejected_other_t = 0;  // by first cause
  double n_pct = 0;                         // mean of all harvested grain, tonnes-weighted
  double n_accepted_pct = 0;                // mean of what qualifies; NaN where nothing does
  double screenings_pct = 0;                // median-based mean of all harvested grain
  std::array<double, kBands> band_t{};      // qualifying tonnes by band (the last only under after_harvest)
  std::array<double, kBands> band_n_pct{};  // mean N of the band; band midpoint where it is empty
  // Of the band's accepted grain, in programme scenarios only: mean screenings, and mean screenings above the share free of claim.
  std::array<double, kBands> band_screenings_pct{}, band_screenings_excess_pct{};
};

/// What a backup can do in one scenario.
struct BackupScenario {
  double cap_factor = 1;   // multiplies cap_t_month and cap_t_season
  double price_per_t = 0;  // base price after the shortage rise, season currency, without freight
};

/// Which draw of the daily rain a residual draw goes with: pairs of draws walk through the variants, every year from its own start,
/// so that the few draws of a programme meet all of them.
inline int variant_of(int harvest_year, int draw, int variants) { return (harvest_year + draw / 2) % variants; }

struct Scenario {
  int year = 0;  // index into SupplyScenarios::years
  int draw = 0;
  double weight = 0;
  bool in_programme = false;
  double demand_factor = 1;
  double home_shortage = 0;                 // H of METHODS.md, 0..1: shortfall of qualifying grain against its mean
  std::vector<ContractScenario> contracts;  // one per Season::contracts row
  std::vector<BackupScenario> backups;      // one per Season::backups row
};

/// The residual law and the means that shortages, links and prices are measured against.
struct SupplyReference {
  int regions = 0;
  std::vector<double> root;                   // [2R][2R] symmetric square root; empty with formulas
  std::vector<double> model_sd, residual_sd;  // [2R] yield factors, then N; for the assumptions list
  double mean_offered_t = 0, sd_offered = 0;  // of all contracted grain at base hectares; sd of the factor offered / mean
  double mean_qualifying_t = 0;
  std::vector<double> mean_cap_factor;  // [backup]
  std::vector<std::string> warnings;    // regions whose weather alone varies more than the target
};

struct SupplyScenarios {
  std::vector<int> years;
  std::vector<double> year_weights;
  std::vector<Scenario> scenarios;  // year slowest, draw fastest
  int draws_per_year = 1, programme_draws_per_year = 1;
  Range independent_total_qualifying;  // wrongly independent regions, for comparison
  double independent_p5_t = 0;         // the same, 1 draw in 20 below it
  struct Sampling {
    double lo = 0, hi = 0;
  };
  Sampling sampling_p10, sampling_p50, sampling_p90;  // bootstrap over years of total qualifying; NaN from one year
  SupplyReference reference;                          // hand it to make_scenarios for a case of the same season
  std::vector<std::string> warnings;
  std::vector<double>
      harvested_day;  // [contract][year], year fastest: mean harvest date, days after season_start of the year before harvest
};

}  // namespace rickyard
