// Rules of the demand table.
#include <fmt/format.h>

#include <algorithm>

#include "planner/rules/rule_context.h"
#include "planner/rules/season_words.h"

namespace rickyard::rules {
namespace {

FieldPath at(std::size_t row, std::string field) { return cell("demand", row, std::move(field)); }

void check_lines(const RuleContext& context) {
  const auto& rows = context.season.demand;
  std::map<std::string, std::size_t> first;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const auto [found, fresh] = first.emplace(rows[i].line, i);
    if (fresh) continue;
    const DemandRow& before = rows[found->second];
    if (before.unit != rows[i].unit)
      context.error(at(i, std::string(word_of(rows[i].unit))), shown(rows[i].amount),
                    fmt::format("the line is in {} in row {}", word_of(before.unit), before.at.row), "give all rows of a line in one unit");
    if (before.month.has_value() != rows[i].month.has_value())
      context.error(at(i, "month"), rows[i].month ? to_text(*rows[i].month) : "",
                    fmt::format("the line has rows by month and by year (row {})", before.at.row),
                    "give a line by month, or one row for the year");
  }
  check_unique(context, "demand", rows, "line", "line and month",
               [](const DemandRow& row) { return row.line + (row.month ? " " + to_text(*row.month) : " (year)"); });
}

void check_months(const RuleContext& context, const DemandRow& row, std::size_t i) {
  const Season& season = context.season;
  if (row.month && row.silent_days && *row.silent_days > days_in(*row.month))
    context.error(at(i, "silent_days"), shown(row.silent_days),
                  fmt::format("there are more silent days than days in {} ({})", to_text(*row.month), days_in(*row.month)),
                  "give the silent days of this month only");
  if (row.month && row.silent_days && row.amount > 0 && *row.silent_days == days_in(*row.month))
    context.error(at(i, "silent_days"), shown(row.silent_days), "the line is silent all month and has a need",
                  "give an amount of 0, or fewer silent days");
  if (!context.has_plan()) return;
  if (row.month && (*row.month < *season.plan_from || *row.month > *season.plan_to))
    context.error(at(i, "month"), to_text(*row.month),
                  fmt::format("the month is outside the plan ({} to {})", to_text(*season.plan_from), to_text(*season.plan_to)),
                  "move plan_from or plan_to in season.toml, or take the row out");
  const int months = month_index(*season.plan_to) - month_index(*season.plan_from) + 1;
  if (!row.month && months != 12)
    context.note(at(i, "month"), "", fmt::format("the amount of a year is spread over a plan of {} months", months),
                 "give the need by month, or plan 12 months");
}

// Claims that some grain carries.
std::set<std::string> carried_claims(const Season& season) {
  std::set<std::string> claims;
  for (const auto& row : season.contracts) claims.insert(row.claims.begin(), row.claims.end());
  for (const auto& row : season.backups) claims.insert(row.claims.begin(), row.claims.end());
  for (const auto& row : season.stock) claims.insert(row.claims.begin(), row.claims.end());
  return claims;
}

void check_claims(const RuleContext& context) {
  if (!context.was_read("contracts") || !context.was_read("backups") || !context.was_read("stock")) return;
  const auto claims = carried_claims(context.season);
  std::set<std::string> serves = claims;  // a rule may also be an origin
  for (const auto& row : context.season.contracts) serves.insert(row.origin);
  for (const auto& row : context.season.backups) serves.insert(row.origin);
  for (const auto& row : context.season.stock) serves.insert(row.origin);
  for (std::size_t i = 0; i < context.season.demand.size(); ++i) {
    const std::string& rule = context.season.demand[i].origin_rule;
    if (!rule.empty() && !serves.contains(rule))
      context.warning(at(i, "origin_rule"), rule, "no contract, backup or stock carries the claim, so the line can get no grain",
                      known_names(rule, claims, "write it in the claims column of the grain that carries it"));
  }
  for (const auto& [claim, tonnes] : context.season.closing_t)
    if (!claim.empty() && !claims.contains(claim))
      context.error(key("closing." + claim), shown(tonnes), "no contract, backup or stock carries the claim",
                    known_names(claim, claims, "write it in the claims column of the grain that carries it"));
}

}  // namespace

void check_demand(const RuleContext& context) {
  const auto& rows = context.season.demand;
  check_lines(context);
  check_claims(context);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    check_months(context, rows[i], i);
    const auto& floor = context.season.spec.floor_n_pct;
    if (rows[i].n_ceiling_pct && floor && *rows[i].n_ceiling_pct < *floor)
      context.error(at(i, "n_ceiling_pct"), shown(rows[i].n_ceiling_pct), "the ceiling is below the floor of " + shown(floor),
                    "no grain could be used: raise it, or leave it empty");
  }
  const bool any = std::any_of(rows.begin(), rows.end(), [](const DemandRow& row) { return row.amount > 0; });
  if (!any && !rows.empty() && context.was_read("demand"))
    context.error(at(0, std::string(word_of(rows[0].unit))), shown(rows[0].amount), "the demand table asks for nothing",
                  "give an amount above 0 in at least one row");
}

}  // namespace rickyard::rules
