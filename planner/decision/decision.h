#pragma once
// What to sign and what to buy now, and what more safety, more hectares or more waiting would be worth. METHODS.md, "Decision".
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "planner/base/progress.h"
#include "planner/base/range.h"
#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"
#include "planner/sourcing/sourcing.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// One point of cost against risk: the best first stage at a weight of bad outcomes.
struct FrontierPoint {
  double lambda = 0;
  double expected_cost = 0, cvar = 0;  // money; cvar at risk.alpha
  double chance_covered = 0;           // weight of scenarios with at most 0.1 % of need unmet
  double unmet_t = 0;                  // mean, reference tonnes
  std::vector<double> amount;          // [contract row] hectares, contracted tonnes for tonnage rows
  std::vector<double> ordered_t;       // [backup] ordered before the harvest is known
};

/// What one more hectare (tonne for tonnage rows) of a contract saves, and what one less would cost, other contracts as proposed,
/// orders chosen anew. By solving again at 1 % more and 1 % less, divided. Absent where the row cannot be scaled.
struct OneMore {
  std::optional<double> more_saves, less_costs;  // money per hectare or tonne, of the objective
};

/// A backup now or after harvest, per tonne at 14.5 %, grain and freight.
struct WaitOrBuy {
  int backup = 0;
  double ordered_now_t = 0;                                 // by the proposal
  double now_per_t = 0;                                     // at the listed price, mean over its months open to order now
  std::optional<double> later_mean_per_t, later_p90_per_t;  // over scenarios; absent where nothing can be ordered after harvest
  double chance_gone = 0;                                   // weight of scenarios in which it has at most half of the listed tonnes
};

/// The answer with nothing ordered ahead beside the answer as proposed, hectares as proposed in both.
struct Insurance {
  bool possible_without = true;  // false: a rule cannot be kept without orders ahead; the figures "without" are unset
  double ordered_t = 0;          // first stage, without what is committed already
  double expected_cost = 0, expected_cost_without = 0;
  double cvar = 0, cvar_without = 0;
  double chance_covered = 0, chance_covered_without = 0;
  double extra_in_other_years = 0;  // mean extra cost in the scenarios in which it costs more
  double saved_in_bad_years = 0;    // mean saving in the scenarios in which it saves
  double weight_of_bad_years = 0;   // of the scenarios in which it saves
};

struct Decision {
  bool proved = true;  // false: stopped by time or interrupt; the best so far
  double gap = 0;      // relative, to the proved bound
  double lambda = 0, alpha = 0;
  double objective = 0, expected_cost = 0, cvar = 0;
  std::vector<double> amount;  // [contract row] proposed: hectares, tonnes for tonnage rows; four decimals
  std::vector<double> scale;   // [contract row] amount in parts of the table's
  std::vector<char> open;      // [contract row] may still be signed, and has a range
  std::optional<double> value_of_stochastic_solution, value_of_perfect_information;
  std::vector<FrontierPoint> frontier;  // ascending lambda, the season's own among them
  std::vector<OneMore> one_more;        // [contract row]
  std::vector<Range> stability;         // [contract row] amount over bootstrapped years, equal weights; empty where no row is open
  std::vector<WaitOrBuy> waiting;       // backups that can be ordered
  Insurance insurance;
};

struct DecisionOptions {
  int threads = 0;                                                        // 0: all
  std::vector<double> lambdas = {0, 0.05, 0.1, 0.2, 0.35, 0.5, 1, 2, 4};  // of the frontier; the season's own is added
  int bootstraps = 20;                                                    // of the stability
  std::function<bool()> stop = {};                                        // true: end with the best so far
};

/// Chooses amounts of the contracts that may still be signed and what is ordered ahead: the programme of METHODS.md with contracts open.
/// `supply` holds the scenarios at the table's amounts. Rules that contradict each other come back as `why`, with all else unset.
struct DecisionResult {
  std::string why;  // empty: decided
  Decision decision;
};
DecisionResult decide(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const Need& need,
                      const SupplyScenarios& supply, const DecisionOptions& options, Progress* progress);

/// The season and the scenarios with contracts at other amounts: hectares, tonnes, tolerance and every tonne that grows on them are
/// scaled; weather, prices and shortages stay as the table's hectares made them. Throws std::invalid_argument on a wrong size.
Season season_at(const Season& season, const std::vector<double>& scale);
SupplyScenarios supply_at(const Season& season, const SupplyScenarios& supply, const std::vector<double>& scale);

}  // namespace rickyard
