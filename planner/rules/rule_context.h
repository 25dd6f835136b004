#pragma once
// What every rule file shares: the season, the list of findings, and short ways to add to it. Internal to this room.
#include <map>
#include <optional>
#include <set>
#include <string>

#include "planner/base/finding.h"
#include "planner/season/season.h"

namespace rickyard::rules {

struct RuleContext {
  const Season& season;
  const std::set<std::string>& unread;
  Findings& out;

  void add(Severity severity, FieldPath where, std::string value, std::string message, std::string remedy) const {
    out.push_back({severity, std::move(where), std::move(value), std::move(message), std::move(remedy)});
  }
  void error(FieldPath where, std::string value, std::string message, std::string remedy) const {
    add(Severity::error, std::move(where), std::move(value), std::move(message), std::move(remedy));
  }
  void warning(FieldPath where, std::string value, std::string message, std::string remedy) const {
    add(Severity::warning, std::move(where), std::move(value), std::move(message), std::move(remedy));
  }
  void note(FieldPath where, std::string value, std::string message, std::string remedy) const {
    add(Severity::note, std::move(where), std::move(value), std::move(message), std::move(remedy));
  }
  bool was_read(const std::string& table) const { return !unread.contains(table); }
  /// Crop year and as-of date are there and possible, so that dates can be judged.
  bool has_dates() const { return season.crop_year >= 1990 && season.crop_year <= 2200 && !season.as_of.is_special(); }
  /// The plan's months are there and in order.
  bool has_plan() const { return season.plan_from && season.plan_to && *season.plan_from <= *season.plan_to; }
  /// First and last day of the season's weather.
  Date first_day_of_season() const { return in_year(season.season_start, season.crop_year - 1); }
  Date last_day_of_season() const { return in_year(season.season_end, season.crop_year); }
};

inline FieldPath key(std::string field) { return {"season", -1, std::move(field)}; }
inline FieldPath cell(std::string table, std::size_t row, std::string field) {
  return {std::move(table), static_cast<int>(row), std::move(field)};
}
/// A number as short as it can be read back, no locale.
std::string shown(double value);
std::string shown(const std::optional<double>& value);
/// "did you mean "x"?" over the known names, else "known: a, b" (at most eight), else `where_none`.
std::string known_names(std::string_view text, const std::set<std::string>& names,
                        std::string_view where_none = "there are none to choose from");

/// One number against the bounds of its column or key; hints at percent for fraction, protein for nitrogen, tonnes per acre.
void check_bounds(const RuleContext& context, const FieldPath& where, std::string_view table, std::string_view field, double value);
/// Every number of every table and key against its bounds.
void check_all_bounds(const RuleContext& context);

/// Every number of a patch; findings at {"case", row, field}.
void check_patch_bounds(const RuleContext& context, const SeasonPatch& patch, int row);

void check_contracts(const RuleContext& context);
void check_backups(const RuleContext& context);
void check_demand(const RuleContext& context);
void check_stock_and_stores(const RuleContext& context);
void check_prices_and_outlets(const RuleContext& context);
void check_varieties_and_history(const RuleContext& context);
void check_keys(const RuleContext& context);
void check_data_sources(const RuleContext& context);
void check_risk(const RuleContext& context);
void check_cases(const RuleContext& context);
void check_unplanned(const RuleContext& context);
/// One patch; findings at {"case", row, field}.
void check_one_patch(const RuleContext& context, const SeasonPatch& patch, int row);

/// Reports the second and later rows that have the same name; `name` returns the text to compare.
template <class Row, class Name>
void check_unique(const RuleContext& context, const std::string& table, const std::vector<Row>& rows, const std::string& field,
                  const std::string& what, Name name) {
  std::map<std::string, int> first;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const std::string text = name(rows[i]);
    if (text.empty()) continue;
    const auto [found, fresh] = first.emplace(text, rows[i].at.row);
    if (!fresh)
      context.error(cell(table, i, field), text, "the " + what + " is also in row " + std::to_string(found->second),
                    "give each " + what + " one row, or rename one");
  }
}

}  // namespace rickyard::rules
