// Rules of the backups table.
#include <fmt/format.h>

#include <algorithm>

#include "planner/rules/rule_context.h"
#include "planner/rules/season_words.h"

namespace rickyard::rules {
namespace {

FieldPath at(std::size_t row, std::string field) { return cell("backups", row, std::move(field)); }

// Months of the plan in which the source can deliver; all its months where the plan's are not known.
int months_in_plan(const Season& season, const BackupRow& row) {
  if (!season.plan_from || !season.plan_to || *season.plan_to < *season.plan_from)
    return static_cast<int>(std::count(row.months_available.begin(), row.months_available.end(), true));
  int n = 0;
  for (int index = month_index(*season.plan_from); index <= month_index(*season.plan_to); ++index)
    n += row.months_available[static_cast<std::size_t>(month_of_index(index).month - 1)] ? 1 : 0;
  return n;
}

void check_capacity(const RuleContext& context, const BackupRow& row, std::size_t i) {
  if (std::none_of(row.months_available.begin(), row.months_available.end(), [](bool b) { return b; }))
    return context.error(at(i, "months"), "", "the source has no month in which it can deliver", "write months as jan;feb, or all");
  const int months = months_in_plan(context.season, row);
  if (months == 0)
    return context.warning(at(i, "months"), "", "the source can deliver in no month of the plan", "check its months and the plan's");
  if (!row.cap_t_month) return;
  const double most = std::min(*row.cap_t_month * months, row.cap_t_season.value_or(1e300));
  const std::string shown_most = fmt::format("{} t over the plan", shown(most));
  if (row.min_take_t.value_or(0) > most)
    context.error(at(i, "min_take_t"), shown(row.min_take_t), "the minimum take is more than the source can deliver (" + shown_most + ")",
                  "lower min_take_t, or raise cap_t_month or cap_t_season");
  if (row.lot_t.value_or(0) > *row.cap_t_month)
    context.error(at(i, "lot_t"), shown(row.lot_t),
                  "one lot is more than the source can deliver in a month (" + shown(row.cap_t_month) + " t)",
                  "lower lot_t, or raise cap_t_month to one lot");
  if (row.committed_t.value_or(0) > most)
    context.warning(at(i, "committed_t"), shown(row.committed_t), "more is bought than the source can deliver (" + shown_most + ")",
                    "check committed_t and the caps");
}

void check_terms(const RuleContext& context, const BackupRow& row, std::size_t i) {
  if (row.min_take_kind != MinimumTake::none && row.min_take_t.value_or(0) == 0)
    context.warning(at(i, "min_take_kind"), std::string(word_of(row.min_take_kind)), "a minimum take of 0 t has no effect",
                    "give min_take_t, or leave min_take_kind empty");
  if (!row.region.empty() && row.weather_link)
    context.note(at(i, "weather_link"), shown(row.weather_link), "the link is not used where the source names a region",
                 "leave one of the two empty");
  if (!row.decide_by || !context.has_plan() || !context.has_dates()) return;
  if (*row.decide_by < context.season.as_of)
    context.warning(at(i, "decide_by"), to_text(*row.decide_by),
                    "the date has passed on " + to_text(context.season.as_of) + ": nothing more can be ordered",
                    "correct it, or take the row out");
  else if (*row.decide_by > last_day(*context.season.plan_to))
    context.warning(at(i, "decide_by"), to_text(*row.decide_by), "the date is after the plan's last month", "check the year of the date");
}

void check_currency(const RuleContext& context, const BackupRow& row, std::size_t i) {
  if (row.currency == context.season.currency || !context.was_read("prices")) return;
  const auto& prices = context.season.prices;
  if (std::any_of(prices.begin(), prices.end(),
                  [&](const PriceRow& price) { return price.currency == row.currency && price.currency_rate; }))
    return;
  context.error(at(i, "currency"), row.currency, "there is no rate for the currency",
                fmt::format("give currency and currency_rate in the prices table, or prices in {}", context.season.currency));
}

}  // namespace

void check_backups(const RuleContext& context) {
  const auto& rows = context.season.backups;
  check_unique(context, "backups", rows, "source", "source", [](const BackupRow& row) { return row.source; });
  for (std::size_t i = 0; i < rows.size(); ++i) {
    check_capacity(context, rows[i], i);
    check_terms(context, rows[i], i);
    check_currency(context, rows[i], i);
    if (rows[i].moisture_pct && *rows[i].moisture_pct > 16 && *rows[i].moisture_pct <= 30)
      context.note(at(i, "moisture_pct"), shown(rows[i].moisture_pct), "the grain is wet for storage", "12 to 14 % is usual after drying");
  }
}

}  // namespace rickyard::rules
