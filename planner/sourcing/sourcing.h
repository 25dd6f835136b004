#pragma once
// The sourcing programme: what comes in, what comes out. METHODS.md, "The linear programme", states the model.
#include <string>
#include <vector>

#include "planner/base/calendar.h"
#include "planner/season/season.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// Need of one line in one barley month, in the line's own output unit and as reference tonnes of barley.
struct LineNeed {
  std::string line;
  Month month;             // barley (intake-to-steep) month
  double amount = 0;       // spirit LPA, malt t or barley t
  double reference_t = 0;  // amount / e_ref: barley at N 1.50 with default factors
};

struct NeedStep {
  std::string name;
  double factor = 0;
  std::string status;
};

struct Need {
  std::vector<LineNeed> by_month;                   // month ascending, line in table order inside a month; zero rows kept
  double spirit_lpa = 0, malt_t = 0, barley_t = 0;  // plan totals: litres asked, malt, reference barley
  std::vector<NeedStep> steps;
};

/// A heap: source x N band x crop year x claim, kept apart until used.
struct Heap {
  enum class From { contract, backup, stock } from = From::stock;
  int index = 0;     // row in Season::contracts, backups or stock
  int band = -1;     // N band of a contract heap
  std::string name;  // "north-area n2", unique
  std::string origin, source;
  int crop_year = 0;
  std::vector<std::string> claims;
};

/// Below, `scenario` is the programme scenario, 0-based; scenario_of turns it into an index of SupplyScenarios::scenarios.
/// Tonnes of one heap used for one line in one month of one scenario.
struct Flow {
  int scenario = 0, heap = 0, line = 0;
  Month month;
  double t = 0, t_equiv = 0, n_pct = 0;
};

struct StockFigure {
  int scenario = 0, heap = 0;
  Month month;
  double opening_t = 0, arrivals_t = 0, used_t = 0, lost_t = 0, sold_t = 0, closing_t = 0;
};

struct UnmetFigure {
  int scenario = 0, line = 0;
  Month month;
  double t_equiv = 0;
};

/// Tonnes ordered from one backup for delivery in one month; first stage: the same in all scenarios.
struct Purchase {
  int scenario = 0, backup = 0;
  Month month;
  double t = 0, price_per_t = 0;  // price without freight
  bool first_stage = false;
};

enum class CostPart { contracts, purchases, freight, options, storage, interest, claims, rejects, unmet, outlets };
inline constexpr int kCostParts = 10;

struct CostFigure {
  int scenario = 0;
  CostPart part = CostPart::contracts;
  double amount = 0;
};

/// A contract's account in one scenario, by its form.
struct ContractAccount {
  int scenario = 0, contract = 0;
  double delivered_t = 0, accepted_t = 0, made_good_t = 0, cost = 0;
};

enum class SolveStatus { optimal, infeasible, stopped };

struct SourcingResult {
  SolveStatus status = SolveStatus::optimal;
  std::string why;                 // for infeasible: rule, month, tonnes in words
  std::vector<int> scenario_of;    // programme scenario -> index in SupplyScenarios::scenarios
  std::vector<double> weight;      // [programme scenario], sum to 1
  std::vector<std::string> lines;  // in table order
  std::vector<Month> months;
  Date intake_closed{boost::date_time::not_a_date_time};  // orders due on or before it are first stage
  std::vector<Heap> heaps;
  std::vector<Flow> flows;                // only t > 0
  std::vector<StockFigure> stock;         // rows with any non-zero figure
  std::vector<UnmetFigure> unmet;         // only > 0
  std::vector<Purchase> purchases;        // only t > 0
  std::vector<CostFigure> costs;          // every scenario and part
  std::vector<ContractAccount> accounts;  // every scenario and contract
  double objective = 0;                   // expected cost
  double gap = 0;                         // relative, of expected cost and risk to what is proved; 0 but for integers and an early stop
  std::vector<std::string> warnings;      // more heaps than bins, ...
};

/// Reference tonnes left unmet over the plan, [programme scenario].
std::vector<double> unmet_by_scenario(const SourcingResult& result);

}  // namespace rickyard
