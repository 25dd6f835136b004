#include "planner/rules/season_words.h"

#include <algorithm>
#include <string>
#include <vector>

namespace rickyard {
namespace {

constexpr std::array kForms = {Word{ContractForm::area, "area"}, Word{ContractForm::area_capped, "area_capped"},
                               Word{ContractForm::tonnage, "tonnage"}};
constexpr std::array kYieldBases = {Word{YieldBasis::whole_field, "whole_field"}, Word{YieldBasis::in_field, "in_field"}};
constexpr std::array kNitrogenBases = {Word{NitrogenBasis::all_grain, "all_grain"}, Word{NitrogenBasis::accepted, "accepted"}};
constexpr std::array kPriceForms = {Word{PriceForm::fixed, "fixed"}, Word{PriceForm::feed_plus, "feed_plus"},
                                    Word{PriceForm::collar, "collar"}};
constexpr std::array kRejectRules = {Word{RejectRule::grower_keeps, "grower_keeps"}, Word{RejectRule::feed_price, "feed_price"}};
constexpr std::array kHeld = {Word{Held::farm, "farm"}, Word{Held::store, "store"}};
constexpr std::array kKinds = {Word{BackupKind::merchant, "merchant"}, Word{BackupKind::other_region, "other_region"},
                               Word{BackupKind::vessel, "vessel"}};
constexpr std::array kMinimumTakes = {Word{MinimumTake::if_used, "if_used"}, Word{MinimumTake::standing, "standing"}};
constexpr std::array kPolicies = {Word{LimitPolicy::fixed, "fixed"}, Word{LimitPolicy::after_harvest, "after_harvest"}};
constexpr std::array kModels = {Word{ForecastModel::daily, "daily"}, Word{ForecastModel::formulas, "formulas"}};
constexpr std::array kStarts = {Word{SeasonStart::previous_year, "previous_year"}, Word{SeasonStart::field_capacity, "field_capacity"}};
constexpr std::array kNeedUnits = {Word{NeedUnit::spirit_lpa, "spirit_lpa"}, Word{NeedUnit::malt_t, "malt_t"},
                                   Word{NeedUnit::barley_t, "barley_t"}};

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

// Optimal string alignment distance: insert, delete, replace, swap neighbours.
std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> before(b.size() + 1), row(b.size() + 1), next(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    next[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const bool same = lower(a[i - 1]) == lower(b[j - 1]);
      next[j] = std::min({row[j] + 1, next[j - 1] + 1, row[j - 1] + (same ? 0u : 1u)});
      if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]))
        next[j] = std::min(next[j], before[j - 2] + 1);
    }
    before.swap(row);
    row.swap(next);
  }
  return row[b.size()];
}

}  // namespace

template <>
std::span<const Word<ContractForm>> words_of() {
  return kForms;
}
template <>
std::span<const Word<YieldBasis>> words_of() {
  return kYieldBases;
}
template <>
std::span<const Word<NitrogenBasis>> words_of() {
  return kNitrogenBases;
}
template <>
std::span<const Word<PriceForm>> words_of() {
  return kPriceForms;
}
template <>
std::span<const Word<RejectRule>> words_of() {
  return kRejectRules;
}
template <>
std::span<const Word<Held>> words_of() {
  return kHeld;
}
template <>
std::span<const Word<BackupKind>> words_of() {
  return kKinds;
}
template <>
std::span<const Word<MinimumTake>> words_of() {
  return kMinimumTakes;
}
template <>
std::span<const Word<LimitPolicy>> words_of() {
  return kPolicies;
}
template <>
std::span<const Word<ForecastModel>> words_of() {
  return kModels;
}
template <>
std::span<const Word<SeasonStart>> words_of() {
  return kStarts;
}
template <>
std::span<const Word<NeedUnit>> words_of() {
  return kNeedUnits;
}

std::string_view nearest_name(std::string_view text, std::span<const std::string_view> known) {
  if (text.size() > 100) return {};
  std::string_view best;
  std::size_t least = std::max<std::size_t>(2, text.size() / 3) + 1;
  for (const std::string_view name : known) {
    const std::size_t distance = edit_distance(text, name);
    if (distance < least && distance < name.size()) {
      least = distance;
      best = name;
    }
  }
  return best;
}

}  // namespace rickyard
