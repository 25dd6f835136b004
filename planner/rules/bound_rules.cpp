// Numbers against the bounds of the reference, with the usual mix-ups named.
#include <fmt/format.h>

#include <cmath>

#include "planner/rules/rule_context.h"
#include "planner/rules/season_fields.h"
#include "planner/rules/season_visit.h"
#include "planner/rules/season_words.h"

namespace rickyard::rules {
namespace {

struct Words {
  std::string message, remedy;
};

std::string span_of(const FieldSpec& field) {
  const bool unit = field.unit != "1" && field.unit != "fraction" && field.unit != "probability";
  return fmt::format("{} to {}{}", shown(field.min), shown(field.max), unit ? " " + std::string(field.unit) : "");
}

bool is_nitrogen(const FieldSpec& field) { return field.unit.starts_with("% N") && field.min > 0; }

Words words_for(const FieldSpec& field, double value) {
  const bool share = field.unit == "fraction" || field.unit == "probability";
  if (share && value > 1 && value <= 100)
    return {"this looks like a percentage", fmt::format("a fraction from {} belongs here: write {}", span_of(field), shown(value / 100))};
  if (is_nitrogen(field) && value >= 6 && value <= 16)
    return {"this looks like protein, not nitrogen", fmt::format("nitrogen = protein / 6.25: write {:.2f}", value / 6.25)};
  if (field.unit.starts_with("%") && field.min > 0 && value > 0 && value < 1 && value < field.min && value * 100 <= field.max)
    return {"this looks like a fraction", fmt::format("per cent belong here: write {}", shown(std::round(value * 1e6) / 1e4))};
  if (field.name == "yield_t_ha" && value > field.max)
    return {"the yield is outside " + span_of(field), "give tonnes per hectare at 14.5 % moisture; 59 decitonnes are 5.9 t"};
  if (field.name == "yield_t_ha" && value >= 0)
    return {"the yield is outside " + span_of(field), "give tonnes per hectare at 14.5 % moisture"};
  if (value < 0 && field.min >= 0) return {"the number is negative", "give a number from " + span_of(field)};
  return {"the number is outside " + span_of(field), "check the unit and the decimal point"};
}

// Visits the fields of one row, or of the keys below a prefix.
class BoundCheck {
 public:
  /// A row of a table.
  BoundCheck(const RuleContext& context, std::string_view table, std::size_t row)
      : context_(context), where_{std::string(table), static_cast<int>(row), ""}, listed_(table) {}
  /// Keys: `prefix` is "" or a section ("soil."); a repeated section ("case.") is its own table in paths.
  BoundCheck(const RuleContext& context, std::string prefix, const std::string& repeated = "", int row = -1)
      : context_(context), where_{repeated.empty() ? "season" : repeated, row, ""}, listed_("season"), prefix_(std::move(prefix)) {}

  void operator()(std::string_view name, const std::optional<double>& value) const {
    if (value) check(name, *value);
  }
  void operator()(std::string_view name, const std::optional<int>& value) const {
    if (value) check(name, *value);
  }
  void operator()(std::string_view name, double value) const { check(name, value); }
  void operator()(std::string_view name, int value) const { check(name, value); }
  void operator()(std::string_view name, unsigned value) const { check(name, value); }
  template <class Other>
  void operator()(std::string_view, const Other&) const {}

 private:
  void check(std::string_view name, double value) const {
    FieldPath where = where_;
    where.field = where_.table == "season" ? prefix_ + std::string(name) : std::string(name);
    check_bounds(context_, where, listed_, prefix_ + std::string(name), value);
  }

  const RuleContext& context_;
  FieldPath where_;
  std::string listed_, prefix_;
};

}  // namespace

std::string shown(double value) { return fmt::format("{}", value); }
std::string shown(const std::optional<double>& value) { return value ? shown(*value) : std::string(); }

std::string known_names(std::string_view text, const std::set<std::string>& names, std::string_view where_none) {
  const std::vector<std::string_view> views(names.begin(), names.end());
  if (const std::string_view near = nearest_name(text, views); !near.empty()) return fmt::format("did you mean \"{}\"?", near);
  if (views.empty()) return std::string(where_none);
  std::string text_out = "known: ";
  for (std::size_t i = 0; i < std::min<std::size_t>(8, views.size()); ++i) text_out += fmt::format("{}{}", i == 0 ? "" : ", ", views[i]);
  return views.size() > 8 ? text_out + " and others" : text_out;
}

void check_bounds(const RuleContext& context, const FieldPath& where, std::string_view table, std::string_view name, double value) {
  const FieldSpec* field = find_field(table, name);
  if (field == nullptr) return;
  if (!std::isfinite(value)) return context.error(where, shown(value), "this is not a finite number", "write a number");
  const bool bounded = !std::isnan(field->min);
  if (!bounded || (value >= field->min && value <= field->max)) return;
  const Words words = words_for(*field, value);
  context.error(where, shown(value), words.message, words.remedy);
}

void check_all_bounds(const RuleContext& context) {
  const Season& season = context.season;
  visit_tables(season, [&](std::string_view table, const auto& rows) {
    for (std::size_t i = 0; i < rows.size(); ++i) visit_fields(rows[i], BoundCheck(context, table, i));
  });
  for (std::size_t i = 0; i < season.demand.size(); ++i) {
    const std::string unit(word_of(season.demand[i].unit));
    check_bounds(context, cell("demand", i, unit), "demand", unit, season.demand[i].amount);
  }
  for (std::size_t i = 0; i < season.contracts.size(); ++i)
    if (const auto& shares = season.contracts[i].delivery_share)
      for (std::size_t m = 0; m < 12; ++m) {
        const std::string column = fmt::format("delivery_{}", kMonthWords[m]);
        check_bounds(context, cell("contracts", i, column), "contracts", column, (*shares)[m]);
      }
  visit_keys(season, BoundCheck(context, ""));
  if (season.soil) visit_fields(*season.soil, BoundCheck(context, "soil."));
  for (std::size_t i = 0; i < season.share_limits.size(); ++i)
    visit_fields(season.share_limits[i], BoundCheck(context, "share_limit.", "share_limit", static_cast<int>(i)));
  for (const auto& [claim, tonnes] : season.closing_t) {
    const std::string name = "closing." + (claim.empty() ? std::string("any") : claim);
    check_bounds(context, key(name), "season", name, tonnes);
  }
}

void check_patch_bounds(const RuleContext& context, const SeasonPatch& patch, int row) {
  visit_fields(patch, BoundCheck(context, "case.", "case", row));
  for (const double factor : patch.rain_factor)
    if (!(factor >= 0 && factor <= 5))
      return context.error({"case", row, "rain_factor"}, shown(factor), "a rain factor is outside 0 to 5", "write 0.5 for half the rain");
}

}  // namespace rickyard::rules
