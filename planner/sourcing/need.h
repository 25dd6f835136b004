#pragma once
// Barley need by line and month from the product plan, and the first day new crop can be used.
#include <optional>
#include <string>
#include <vector>

#include "planner/season/season.h"
#include "planner/sourcing/sourcing.h"

namespace rickyard {

/// First and last barley month of the plan: plan_from (default the month after as_of) to plan_to (default the last
/// demand month; plan_from + 11 months where only year rows are given).
struct PlanMonths {
  Month first, last;
};
PlanMonths plan_months(const Season& season);

/// Lines in the order of their first demand row, with what holds for the whole line.
struct LineTerms {
  std::string line;
  NeedUnit unit = NeedUnit::spirit_lpa;              // of the first row; other rows are converted at reference yield
  std::string origin_rule;                           // first one given; empty: any grain
  double priority = 1;                               // smallest given
  std::vector<std::optional<double>> n_ceiling_pct;  // [plan month]: lowest ceiling of the rows that need barley in it
};
std::vector<LineTerms> line_terms(const Season& season);

/// Barley need of every line and plan month; patch.demand_factor applied. Rows for use months become barley months by
/// shifting each working day back by barley_to_mash_days (0 for barley_t rows); barley due before the plan is dropped.
Need compute_need(const Season& season, const SeasonPatch& patch);

/// harvest + dormancy: first day the grain can be steeped.
Date first_use(const Date& harvest, int dormancy_days);
/// harvest + dormancy + barley to mash: first day of spirit from it.
Date first_spirit(const Date& harvest, int dormancy_days, int barley_to_mash_days);
/// Why `wanted` is too early for grain cut on `harvest`; empty if it is not.
std::optional<std::string> refuse_early_use(const Date& wanted, const Date& harvest, int dormancy_days);

}  // namespace rickyard
