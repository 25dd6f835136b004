#pragma once
// The two-stage programme over all programme scenarios; METHODS.md states it, programme.md lists its sets, columns and rows.
#include <array>
#include <string>
#include <vector>

#include "planner/sourcing/programme_terms.h"
#include "planner/sourcing/two_stage.h"

namespace rickyard {

enum class ColumnKind {
  contract,       // first stage: contract `heap` in parts of its amount in the table; 1 where it is signed
  order,          // first stage: tonnes of backup `heap` for `month`, all scenarios
  reserve,        // first stage: tonnes of backup `heap` under option
  flow,           // tonnes of heap used for line
  sold,           // tonnes of heap sold to outlet `line`
  stock,          // tonnes of heap in store at the end of the month
  left_on_farm,   // tonnes of an on-farm heap at the end of the plan
  purchase,       // second stage: tonnes of backup `heap` for `month`
  over_cap,       // fraction of what an area_capped contract `heap` offers above its cap
  over_limit,     // fraction of band 3 taken from contract `heap`
  unmet,          // reference tonnes of line
  closing_short,  // tonnes missing from closing stock class `line`
  lots,           // whole lots of backup `heap` for `month`; scenario -1 where ordered ahead
  used_at_all,    // 1 if anything is taken from backup `heap`, which has a minimum take if used
  unmet_allowed,  // first stage, one a scenario: reference tonnes of need it may leave unmet
  must_be_met,    // first stage, one a scenario: 1 if need must be met in it
  carbon_allowed  // first stage, one a scenario: t CO2e its grain may carry
};

struct CostTerm {
  CostPart part = CostPart::contracts;
  double per_unit = 0;
};

/// What a column stands for; -1 where a dimension does not apply. Costs are per unit and not weighted. A first-stage column that speaks
/// of one scenario (lots, allowances) names it.
struct ProgrammeColumn {
  ColumnKind kind = ColumnKind::flow;
  int scenario = -1, month = -1, heap = -1, line = -1;
  std::array<CostTerm, 5> costs{};
  int cost_terms = 0;
};

enum class RuleKind {
  balance,
  need,
  ceiling,
  share,
  malting,
  store,
  intake,
  drying,
  outlet,
  season_cap,
  min_take,
  option,
  available,
  closing,
  spare,     // what is taken beyond a contract's duty grows with the contract
  variety,   // share of the hectares
  lot,       // an order is whole lots
  if_used,   // least and most that a backup gives if it is used
  unmet_of,  // unmet need of a scenario against what it is allowed
  chance,    // need is met with a chance of at least p
  expected_unmet,
  carbon_of,
  carbon
};

struct ProgrammeRow {
  RuleKind kind = RuleKind::balance;
  int scenario = -1, month = -1, index = -1;  // index: heap, line, outlet, backup, ... by kind
};

/// Grain of one heap in one scenario.
struct HeapGrain {
  double n_pct = 0, screenings_pct = 0;
  std::vector<double> equivalent;  // [line] reference tonnes per tonne
  double claim_per_t = 0;
  double usable_day = 0;              // day number; may be fractional
  int first_month = 0;                // first plan month in which it may be used; months() or more: never
  int arrival_month = 0;              // on farm and at once: the month it counts from
  std::vector<double> arrival_share;  // [plan month], in store: how the contract's tonnes arrive; others empty
  double firm_t = 0, over_cap_t = 0, over_limit_t = 0;
  double opening_t = 0;    // stock lots: in store before the first month
  double value_per_t = 0;  // for interest
};

struct Programme {
  TwoStage problem;
  std::vector<ProgrammeColumn> columns;                   // of the first stage, then of scenario 0, 1, ...
  std::vector<ProgrammeRow> rows;                         // the same
  std::vector<int> column_start, row_start;               // [scenario] where its own begin in `columns` and `rows`; one more at the end
  std::vector<std::vector<double>> tie_breaks;            // [stage][column - first_columns()]: of the second stage
  std::vector<std::vector<HeapGrain>> grain;              // [scenario][heap]
  std::vector<std::array<double, kCostParts>> constants;  // [scenario][part]: costs no decision moves, contracts at their amounts
  int first_columns() const { return problem.first.columns(); }
};

Programme build_programme(const ProgrammeTerms& terms);

// Parts of build_programme, each in its own file.
std::vector<HeapGrain> scenario_grain(const ProgrammeTerms& terms, int scenario);
std::vector<std::vector<double>> tie_breaks(const ProgrammeTerms& terms, const Programme& programme);
/// Costs that a contract at its amount in the table, or the committed purchases (contract -1), bring in a scenario.
std::array<double, kCostParts> constant_costs(const ProgrammeTerms& terms, const std::vector<HeapGrain>& grain, int scenario, int contract);

/// Cost per t at 14.5 % of a backup's grain delivered in month m: at the listed price (scenario -1) or at the scenario's price.
struct BackupPrice {
  double grain = 0, freight = 0;
};
BackupPrice backup_price(const ProgrammeTerms& terms, int backup, int month, int scenario);
/// Contract price per t at delivery in month m.
double contract_price(const ProgrammeTerms& terms, int contract, int month);

/// Price per t at 14.5 % of grain already bought.
double committed_price(const ProgrammeTerms& terms, int backup, int month);
/// What a grower pays for tonnes short of a tonnage contract: short x settled share x max(0, spot - contract price).
double settlement(const ProgrammeTerms& terms, int contract, int month, const Scenario& scenario);

/// The whole answer, [column] of `programme.columns`: the first stage and, given it, every scenario's own best with ties broken.
/// Empty where a scenario cannot live with the first stage.
std::vector<double> complete_answer(const Programme& programme, const std::vector<double>& first_stage, int threads);

}  // namespace rickyard
