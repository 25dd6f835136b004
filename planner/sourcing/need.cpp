#include "planner/sourcing/need.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "planner/supply/malting_yield.h"

namespace rickyard {
namespace {

// What one demand row asks of each plan month, in its own unit.
struct RowNeed {
  std::size_t row = 0;
  std::vector<double> by_month;  // [plan month]
};

// A year row is silent for `days` days from the first of the silent month, in every year.
bool silent_in_year_row(const Date& use, int first_month, int days) {
  for (int year : {static_cast<int>(use.year()) - 1, static_cast<int>(use.year())}) {
    const int since = day_number(use) - day_number(first_day({year, first_month}));
    if (since >= 0 && since < days) return true;
  }
  return false;
}

std::vector<double> year_row(const Season& season, const DemandRow& row, const PlanMonths& plan, int shift) {
  const int n = month_index(plan.last) - month_index(plan.first) + 1;
  const int silent = static_cast<int>(std::lround(row.silent_days.value_or(season.parameters["silent_season_days"])));
  const int silent_month = static_cast<int>(season.parameters["silent_season_month"]);
  std::vector<double> days(static_cast<std::size_t>(n), 0);
  double total = 0;
  for (int i = 0; i < n; ++i) {
    const Month month = add_months(plan.first, i);
    for (int d = day_number(first_day(month)); d <= day_number(last_day(month)); ++d)
      if (!silent_in_year_row(date_of(d + shift), silent_month, silent)) {
        days[static_cast<std::size_t>(i)] += 1;
        total += 1;
      }
  }
  for (double& value : days) value = total > 0 ? row.amount * value / total : 0;
  return days;
}

// The silent days of a month row are its first.
std::vector<double> month_row(const DemandRow& row, const PlanMonths& plan, int shift) {
  const int n = month_index(plan.last) - month_index(plan.first) + 1;
  std::vector<double> by_month(static_cast<std::size_t>(n), 0);
  const int days = days_in(*row.month);
  const int silent = std::clamp(static_cast<int>(std::lround(row.silent_days.value_or(0))), 0, days - 1);
  for (int d = silent; d < days; ++d) {
    const int i = month_index(month_of(date_of(day_number(first_day(*row.month)) + d - shift))) - month_index(plan.first);
    if (i >= 0 && i < n) by_month[static_cast<std::size_t>(i)] += row.amount / (days - silent);
  }
  return by_month;
}

std::vector<RowNeed> row_needs(const Season& season) {
  const auto plan = plan_months(season);
  const int to_mash = static_cast<int>(std::lround(season.parameters["barley_to_mash_days"]));
  std::vector<RowNeed> needs;
  for (std::size_t i = 0; i < season.demand.size(); ++i) {
    const auto& row = season.demand[i];
    const int shift = row.unit == NeedUnit::barley_t ? 0 : to_mash;
    needs.push_back({i, row.month ? month_row(row, plan, shift) : year_row(season, row, plan, shift)});
  }
  return needs;
}

std::vector<NeedStep> need_steps(const Season& season, const MaltingYield& yield) {
  const auto status = [&](const char* name) {
    return season.parameters.set_by_user(name) ? std::string("user") : std::string(season.parameters.spec(name).status);
  };
  return {
      {"spirit, LPA per t malt at N 1.50", yield.spirit_lpa_per_t, status("spirit_lpa_per_t_malt")},
      {"spirit lost per 1 %N above 1.50, LPA per t malt", yield.spirit_loss_per_n, status("spirit_loss_lpa_per_n_pct")},
      {"malt left after handling", 1 - yield.handling_loss, status("malt_handling_loss_pct")},
      {"grain left after dressing", yield.dressing, status("dressing_frac")},
      {"dry matter left after malting", 1 - yield.dry_loss, status("malting_dry_loss_pct")},
      {"dry matter of barley over dry matter of malt", (1 - kReferenceMoisture) / (1 - yield.malt_moisture), status("malt_moisture_pct")},
      {"malt per t barley at 14.5 %", malt_per_barley(yield, yield.dressing), "derived"},
      {"barley to mash, days", season.parameters["barley_to_mash_days"], status("barley_to_mash_days")}};
}

}  // namespace

PlanMonths plan_months(const Season& season) {
  PlanMonths plan;
  plan.first = season.plan_from ? *season.plan_from : add_months(month_of(season.as_of), 1);
  std::optional<Month> last;
  for (const auto& row : season.demand)
    if (row.month && (!last || *last < *row.month)) last = row.month;
  plan.last = season.plan_to ? *season.plan_to : last.value_or(add_months(plan.first, 11));
  plan.last = std::max(plan.last, plan.first);
  return plan;
}

std::vector<LineTerms> line_terms(const Season& season) {
  const auto needs = row_needs(season);
  std::vector<LineTerms> lines;
  for (const auto& need : needs) {
    const auto& row = season.demand[need.row];
    auto at = std::find_if(lines.begin(), lines.end(), [&](const LineTerms& line) { return line.line == row.line; });
    if (at == lines.end()) {
      lines.push_back(
          {row.line, row.unit, row.origin_rule, row.priority.value_or(1), std::vector<std::optional<double>>(need.by_month.size())});
      at = lines.end() - 1;
    }
    if (at->origin_rule.empty()) at->origin_rule = row.origin_rule;
    at->priority = std::min(at->priority, row.priority.value_or(1));
    for (std::size_t m = 0; m < need.by_month.size(); ++m)
      if (row.n_ceiling_pct && need.by_month[m] > 0)
        at->n_ceiling_pct[m] = std::min(at->n_ceiling_pct[m].value_or(*row.n_ceiling_pct), *row.n_ceiling_pct);
  }
  return lines;
}

Need compute_need(const Season& season, const SeasonPatch& patch) {
  const auto plan = plan_months(season);
  const auto yield = malting_yield(season);
  const auto lines = line_terms(season);
  const auto needs = row_needs(season);
  const auto months = static_cast<std::size_t>(month_index(plan.last) - month_index(plan.first) + 1);
  std::vector<std::vector<double>> amount(lines.size(), std::vector<double>(months, 0));
  for (const auto& need : needs) {
    const auto& row = season.demand[need.row];
    const auto l = static_cast<std::size_t>(
        std::find_if(lines.begin(), lines.end(), [&](const LineTerms& line) { return line.line == row.line; }) - lines.begin());
    const double to_line_unit = reference_output(yield, lines[l].unit) / reference_output(yield, row.unit);
    for (std::size_t m = 0; m < months; ++m)
      amount[l][m] += patch.demand_factor * need.by_month[m] * (row.unit == lines[l].unit ? 1 : to_line_unit);
  }
  Need need;
  for (std::size_t m = 0; m < months; ++m)
    for (std::size_t l = 0; l < lines.size(); ++l) {
      const double reference_t = amount[l][m] / reference_output(yield, lines[l].unit);
      need.by_month.push_back({lines[l].line, add_months(plan.first, static_cast<int>(m)), amount[l][m], reference_t});
      need.barley_t += reference_t;
      if (lines[l].unit == NeedUnit::spirit_lpa) need.spirit_lpa += amount[l][m];
      if (lines[l].unit != NeedUnit::barley_t) need.malt_t += reference_t * malt_per_barley(yield, yield.dressing);
    }
  need.steps = need_steps(season, yield);
  return need;
}

Date first_use(const Date& harvest, int dormancy_days) { return date_of(day_number(harvest) + dormancy_days); }

Date first_spirit(const Date& harvest, int dormancy_days, int barley_to_mash_days) {
  return date_of(day_number(harvest) + dormancy_days + barley_to_mash_days);
}

std::optional<std::string> refuse_early_use(const Date& wanted, const Date& harvest, int dormancy_days) {
  const Date first = first_use(harvest, dormancy_days);
  if (!(wanted < first)) return std::nullopt;
  return "grain cut on " + to_text(harvest) + " is dormant until " + to_text(first) + ": " +
         std::to_string(day_number(first) - day_number(wanted)) + " days too early";
}

}  // namespace rickyard
