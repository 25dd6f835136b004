#pragma once
// Everything the sourcing programme needs that does not depend on the scenario.
#include <array>
#include <limits>
#include <string>
#include <vector>

#include "planner/quality/harvest_forecast.h"
#include "planner/sourcing/claims.h"
#include "planner/sourcing/market.h"
#include "planner/sourcing/need.h"
#include "planner/sourcing/sourcing.h"
#include "planner/supply/malting_yield.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// How a heap's grain is kept.
enum class Keep {
  on_farm,   // contract grain called off from the farm: taken when used or sold, no loss, no store
  in_store,  // month by month in the store
  at_once    // rejected grain bought at feed price: sold in the month it comes
};

struct HeapTerms {
  Heap heap;
  Keep keep = Keep::in_store;
  bool usable = true;  // for malting: variety approved, not rejected grain
  bool may_sell = true;
  int last_use_month = 0;       // by age; -1: never
  int first_month = 0;          // backups: first month of delivery of this crop
  double hold_per_t_month = 0;  // storage cost, per t and month
  int rank = 0;                 // by crop year, then order of heaps
};

/// All stores as one.
struct StorePool {
  double capacity_t = kUnlimited, loss_month = 0, cost_per_t_month = 0, intake_t_day = kUnlimited, dry_t_day = kUnlimited,
         bins = kUnlimited;
  static constexpr double kUnlimited = std::numeric_limits<double>::infinity();
};

/// An outlet with the feed market as the last.
struct OutletTerms {
  std::string name;
  double n_min_pct = -1e30, n_max_pct = 1e30;
  std::vector<double> net_price_per_t;  // [plan month], after haul for feed
  double cap_t_month = StorePool::kUnlimited;
};

/// One backup as the programme sees it. Vectors are [plan month].
struct BackupTerms {
  std::vector<bool> open;         // grain can be ordered for the month
  std::vector<bool> first_stage;  // the order falls due on or before intake_closed
  std::vector<double> committed_t;
  std::vector<int> heap;  // heap of a delivery in the month
  double cap_t_month = 0, cap_t_season = StorePool::kUnlimited, accept_share = 1;
  double min_take_t = 0;      // standing
  double take_if_used_t = 0;  // least if anything is taken
  double lot_t = 0;           // orders are whole multiples; 0: any amount
  double to_reference = 1;    // price per delivered tonne -> per t at 14.5 %
  bool lost = false;
};

/// A scenario counts as covered if it leaves at most this share of its need unmet.
inline constexpr double kCoveredShare = 0.001;

/// How much of a contract may be signed, in parts of its amount in the table.
struct ContractChoice {
  double least = 1, most = 1;
};

/// Whether amounts of contracts are taken from the table, or chosen where they may still be signed.
enum class Contracts { as_listed, open };

struct ProgrammeTerms {
  const Season& season;
  const SeasonPatch& patch;
  const HarvestForecast& forecast;
  const SupplyScenarios& supply;
  PlanMonths plan;
  int months = 0;
  std::vector<LineTerms> lines;
  std::vector<std::vector<double>> need_t;  // [line][month] reference tonnes
  Date intake_closed{boost::date_time::not_a_date_time};
  MaltingYield yield;
  Market market;
  ClaimTerms claims;
  StorePool store;
  std::vector<double> malting_t;     // [month], infinity where no plant is given
  std::vector<OutletTerms> outlets;  // feed last
  std::vector<HeapTerms> heaps;
  std::vector<BackupTerms> backups;
  std::vector<int> scenario_of;
  std::vector<double> weight;
  std::vector<ContractChoice> contract_choice;  // [contract]
  double largest_cap_factor = 1;                // over scenarios and backups
  double largest_t = 0;                         // no tonnage in the programme exceeds it
  double unmet_price = 0, interest_month = 0;
  std::vector<std::pair<std::string, double>> closing_t;  // by claim, "" = any grain beyond the claims

  int month_of_day(double day) const;  // plan month of a day number; may lie outside 0..months-1
  bool contracts_are_open() const;
  Month month(int m) const { return add_months(plan.first, m); }
};

ProgrammeTerms programme_terms(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const Need& need,
                               const SupplyScenarios& supply, Contracts contracts = Contracts::as_listed);

/// A heap (its claims or its origin) may serve a line with this origin rule.
bool carries(const Heap& heap, const std::string& origin_rule);

/// The last day to sign is not past: the amount is still a choice, between min_ha and max_ha.
bool may_be_signed(const Season& season, const ContractRow& row);

/// Day number of the mean harvest of a contract row in a scenario's weather year.
double harvest_day(const ProgrammeTerms& terms, int contract, const Scenario& scenario);

// Parts of programme_terms, each in its own file.
std::vector<HeapTerms> heap_terms(const ProgrammeTerms& terms);
std::vector<BackupTerms> backup_terms(const ProgrammeTerms& terms);
/// Crop year that backups deliver in a month.
int backup_crop_year(const Season& season, const Month& month);

}  // namespace rickyard
