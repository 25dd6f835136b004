#pragma once
// The programme of one decision, its solver, and what its answers mean; shared by the parts of decide().
#include <optional>
#include <vector>

#include "planner/decision/decision.h"
#include "planner/sourcing/decomposition.h"
#include "planner/sourcing/programme.h"

namespace rickyard {

class Choice {
 public:
  Choice(const ProgrammeTerms& terms, const DecisionOptions& options);

  const Programme& programme() const { return programme_; }
  const ProgrammeTerms& terms() const { return terms_; }
  Decomposition& solver() { return solver_; }

  double first_cost(const std::vector<double>& x) const;
  double expected_cost(const TwoStageSolution& solution) const;
  double cvar(const TwoStageSolution& solution) const;
  double objective(const TwoStageSolution& solution, double lambda) const;

  /// [contract row] parts of the table's amount (the first columns of x); [backup] ordered ahead.
  std::vector<double> scale(const std::vector<double>& x) const;
  std::vector<double> ordered(const std::vector<double>& x) const;
  /// Reference tonnes unmet by scenario; empty where a scenario cannot live with x.
  std::vector<double> unmet(const std::vector<double>& x) const;
  double need(int scenario) const;

  /// First-stage columns that speak of all scenarios (contracts, orders, options, their integers).
  bool shared(int column) const { return programme_.columns[static_cast<std::size_t>(column)].scenario < 0; }

  /// Solves with columns held at given values, then gives them their own bounds back. `held`: (column, value).
  TwoStageSolution solve_holding(const std::vector<std::pair<int, double>>& held);

 private:
  const ProgrammeTerms& terms_;
  const DecisionOptions& options_;
  Programme programme_;
  Decomposition solver_;
};

/// Hectares, or tonnes for a tonnage row, of the season's table.
double amount_of(const ContractRow& row);

FrontierPoint frontier_point(Choice& choice, const TwoStageSolution& solution, double lambda);
std::vector<FrontierPoint> frontier(Choice& choice, const DecisionOptions& options);
std::vector<OneMore> one_more(Choice& choice, const TwoStageSolution& best);
std::vector<Range> stability(Choice& choice, const DecisionOptions& options);
std::vector<WaitOrBuy> wait_or_buy(const Choice& choice, const TwoStageSolution& best);
Insurance insurance(Choice& choice, const TwoStageSolution& best);
/// What planning for the mean year would cost on top; absent where that plan cannot be lived with.
std::optional<double> cost_of_planning_for_the_mean(Choice& choice, const TwoStageSolution& best, const Season& season,
                                                    const SeasonPatch& patch, const HarvestForecast& forecast, const Need& need);

}  // namespace rickyard
