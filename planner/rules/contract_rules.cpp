// Rules of the contracts table.
#include <fmt/format.h>

#include <cmath>
#include <map>

#include "planner/rules/rule_context.h"
#include "planner/rules/season_words.h"

namespace rickyard::rules {
namespace {

FieldPath at(std::size_t row, std::string field) { return cell("contracts", row, std::move(field)); }

// Declared hectares far from those contracted are more often a slip, or another unit, than a change of plan.
void check_declared(const RuleContext& context, const ContractRow& row, std::size_t i) {
  constexpr double kFar = 0.2;  // common practice, no source
  if (!row.declared_ha || !row.contracted_ha || !(*row.contracted_ha > 0)) return;
  const double off = *row.declared_ha / *row.contracted_ha - 1;
  if (std::abs(off) <= kFar) return;
  context.warning(at(i, "declared_ha"), shown(row.declared_ha),
                  fmt::format("the declared hectares are {:.0f} % {} the contracted {}", 100 * std::abs(off), off > 0 ? "above" : "below",
                              shown(row.contracted_ha)),
                  "check the declaration, and that it is not in acres: 1 ha is 2.471 acres");
}

void check_amount(const RuleContext& context, const ContractRow& row, std::size_t i) {
  const bool tonnage = row.form == ContractForm::tonnage;
  const std::string form(word_of(row.form));
  if (tonnage && !row.contracted_t) context.error(at(i, "contracted_t"), "", "a tonnage contract has no tonnes", "give contracted_t");
  if (!tonnage && !row.planted_ha) context.error(at(i, "planted_ha"), "", "an area contract has no hectares", "give planted_ha");
  if (!tonnage && row.contracted_t)
    context.warning(at(i, "contracted_t"), shown(row.contracted_t), "tonnes are not used with form " + form,
                    "leave it empty, or use form tonnage");
  if (row.form == ContractForm::area_capped && !row.cap_t_ha)
    context.error(at(i, "cap_t_ha"), "", "a capped area contract has no cap", "give cap_t_ha, or use form area");
  if (row.form != ContractForm::area_capped && row.cap_t_ha)
    context.warning(at(i, "cap_t_ha"), shown(row.cap_t_ha), "the cap is not used with form " + form,
                    "leave it empty, or use form area_capped");
  check_declared(context, row, i);
  if (row.min_ha && row.max_ha && *row.min_ha > *row.max_ha)
    context.error(at(i, "min_ha"), shown(row.min_ha), fmt::format("the least hectares are more than the most ({})", shown(row.max_ha)),
                  "give min_ha no larger than max_ha");
  else if (!row.declared_ha && row.planted_ha && row.min_ha && row.max_ha &&
           (*row.planted_ha < *row.min_ha || *row.planted_ha > *row.max_ha))
    context.error(at(i, "planted_ha"), shown(row.planted_ha),
                  fmt::format("the hectares are outside min_ha to max_ha ({} to {})", shown(row.min_ha), shown(row.max_ha)),
                  "give planted_ha between them");
  if (tonnage && row.made_good == 1.0 && row.settled_share == 1.0)
    context.warning(at(i, "made_good"), "1", "with made_good and settled_share at 1 the contract never fails",
                    "give the shares that shortfalls of past years bear out");
  if (context.has_dates() && row.sign_by && *row.sign_by < context.season.as_of && row.min_ha != row.max_ha)
    context.warning(at(i, "min_ha"), shown(row.min_ha),
                    "the row was to be signed by " + to_text(*row.sign_by) + ", so its hectares stay at planted_ha",
                    "correct sign_by where it is still open");
}

void check_yield(const RuleContext& context, const ContractRow& row, std::size_t i) {
  if (row.yield_t_ha && *row.yield_t_ha >= 1.9 && *row.yield_t_ha <= 3.3)
    context.note(at(i, "yield_t_ha"), shown(row.yield_t_ha), "the yield is low for tonnes per hectare",
                 fmt::format("check that it is not tonnes per acre: {} t per acre are {:.2f} t/ha", shown(row.yield_t_ha),
                             *row.yield_t_ha * 2.4711));
}

// Planted hectares 2.47 times those of the history look like acres.
void check_acres(const RuleContext& context) {
  std::map<std::string, double> planted;
  std::map<std::string, std::size_t> first;
  for (std::size_t i = 0; i < context.season.contracts.size(); ++i) {
    const auto& row = context.season.contracts[i];
    planted[row.region] += row.planted_ha.value_or(0);
    first.emplace(row.region, i);
  }
  for (const auto& [region, area_ha] : planted) {
    std::map<int, double> by_year;
    for (const auto& past : context.season.history)
      if (past.region == region && past.planted_ha) by_year[past.crop_year] += *past.planted_ha;
    if (by_year.empty()) continue;
    const double last = by_year.rbegin()->second;
    if (last > 0 && area_ha / last > 2.3 && area_ha / last < 2.65)
      context.warning(at(first[region], "planted_ha"), shown(area_ha),
                      fmt::format("the region's hectares are {:.2f} times those of {}", area_ha / last, by_year.rbegin()->first),
                      "check that they are not acres: 1 ha is 2.471 acres");
  }
}

void check_quality(const RuleContext& context, const ContractRow& row, std::size_t i) {
  const Specification& spec = context.season.spec;
  if (row.n_basis == NitrogenBasis::accepted && !row.n_basis_limit_pct)
    context.error(at(i, "n_basis_limit_pct"), "", "nitrogen of accepted grain is given without its limit",
                  "give the acceptance limit behind typical_n_pct");
  if (row.n_basis == NitrogenBasis::accepted && row.n_basis_limit_pct && row.typical_n_pct && *row.typical_n_pct >= *row.n_basis_limit_pct)
    context.error(at(i, "typical_n_pct"), shown(row.typical_n_pct),
                  "the mean of accepted grain is not below its limit (" + shown(row.n_basis_limit_pct) + ")",
                  "use n_basis all_grain, or correct one of the two");
  if (row.n_basis == NitrogenBasis::all_grain && row.n_basis_limit_pct)
    context.warning(at(i, "n_basis_limit_pct"), shown(row.n_basis_limit_pct), "the limit is not used with n_basis all_grain",
                    "leave it empty, or use n_basis accepted");
  if (row.typical_n_pct && spec.stop_n_pct && *row.typical_n_pct > *spec.stop_n_pct)
    context.warning(at(i, "typical_n_pct"), shown(row.typical_n_pct),
                    "typical grain of the row is above the stop of " + shown(spec.stop_n_pct),
                    "check the figure: most of the crop would be turned away");
  if (row.typical_screenings_pct && spec.screenings_max_pct && *row.typical_screenings_pct > *spec.screenings_max_pct)
    context.warning(at(i, "typical_screenings_pct"), shown(row.typical_screenings_pct),
                    "typical grain of the row is above the most screenings of " + shown(spec.screenings_max_pct),
                    "check the figure: most of the crop would be turned away");
}

void check_price(const RuleContext& context, const ContractRow& row, std::size_t i) {
  if (row.price_form != PriceForm::collar) {
    for (const auto& [name, value] : {std::pair{"price_floor", row.price_floor}, {"price_ceiling", row.price_ceiling}})
      if (value)
        context.warning(at(i, name), shown(value), "the bound is used with price_form collar only",
                        "leave it empty, or use price_form collar");
    return;
  }
  if (!row.price_floor) context.error(at(i, "price_floor"), "", "a collar has no floor", "give price_floor");
  if (!row.price_ceiling) context.error(at(i, "price_ceiling"), "", "a collar has no ceiling", "give price_ceiling");
  if (row.price_floor && row.price_ceiling && *row.price_floor > *row.price_ceiling)
    context.error(at(i, "price_floor"), shown(row.price_floor), "the floor is above the ceiling (" + shown(row.price_ceiling) + ")",
                  "give a floor no higher than the ceiling");
}

void check_order(const RuleContext& context, std::size_t i, const std::optional<Date>& before, const std::optional<Date>& after,
                 const std::string& before_name, const std::string& after_name, bool may_be_equal) {
  if (!before || !after || *before < *after || (may_be_equal && *before == *after)) return;
  context.error(at(i, after_name), to_text(*after), fmt::format("the date is not after {} ({})", before_name, to_text(*before)),
                "put the dates in order: sow_earliest, sow_planned, sow_latest, usual_harvest");
}

// The date a row was sown is a fact: known by as_of, and before its harvest.
void check_sown(const RuleContext& context, const ContractRow& row, std::size_t i, const Date& season_end) {
  if (!row.sown || *row.sown > season_end) return;
  if (*row.sown > context.season.as_of)
    context.error(at(i, "sown"), to_text(*row.sown), "the row is said to be sown after as_of (" + to_text(context.season.as_of) + ")",
                  "leave it empty until the row is sown, or give a later as_of");
  else if (row.usual_harvest && *row.sown >= *row.usual_harvest)
    context.error(at(i, "sown"), to_text(*row.sown),
                  "the row is said to be sown after its usual harvest (" + to_text(*row.usual_harvest) + ")",
                  "correct one of the two dates");
}

void check_dates(const RuleContext& context, const ContractRow& row, std::size_t i) {
  check_order(context, i, row.sow_earliest, row.sow_planned, "sow_earliest", "sow_planned", true);
  check_order(context, i, row.sow_planned, row.sow_latest, "sow_planned", "sow_latest", true);
  check_order(context, i, row.sow_latest, row.usual_harvest, "sow_latest", "usual_harvest", false);
  if (!context.has_dates()) return;
  const Date from = context.first_day_of_season(), to = context.last_day_of_season();
  for (const auto& [name, date] : {std::pair{"sow_earliest", row.sow_earliest},
                                   {"sow_planned", row.sow_planned},
                                   {"sow_latest", row.sow_latest},
                                   {"sown", row.sown},
                                   {"usual_harvest", row.usual_harvest}})
    if (date && (*date < from || *date > to))
      context.error(
          at(i, name), to_text(*date),
          fmt::format("the date is outside the season of crop year {} ({} to {})", context.season.crop_year, to_text(from), to_text(to)),
          "a crop year is named by its harvest; check the year of the date");
  check_sown(context, row, i, to);
  if (row.sign_by && (*row.sign_by > to || *row.sign_by < from - boost::gregorian::days(730)))
    context.error(at(i, "sign_by"), to_text(*row.sign_by),
                  fmt::format("the date has nothing to do with the harvest of {}", context.season.crop_year),
                  fmt::format("give a date before {}, or leave it empty where the row is signed", to_text(to)));
}

void check_delivery(const RuleContext& context, const ContractRow& row, std::size_t i) {
  if (!row.delivery_share) return;
  double sum = 0;
  for (const double share : *row.delivery_share) sum += share;
  if (std::abs(sum - 1) <= 1e-3) return;
  std::size_t m = 0;
  while (m < 11 && (*row.delivery_share)[m] == 0) ++m;
  context.error(at(i, fmt::format("delivery_{}", kMonthWords[m])), shown((*row.delivery_share)[m]),
                fmt::format("the delivery shares of the row sum to {}, not to 1", shown(std::round(sum * 1e6) / 1e6)),
                std::abs(sum - 100) < 0.1 ? "write fractions: 25 % is 0.25"
                                          : "let the months' shares sum to 1, or leave all empty and let the buyer call off");
}

void check_variety(const RuleContext& context, const ContractRow& row, std::size_t i) {
  if (row.variety.empty() || context.season.varieties.empty() || !context.was_read("varieties")) return;
  std::set<std::string> names;
  const VarietyRow* found = nullptr;
  for (const auto& variety : context.season.varieties) {
    names.insert(variety.variety);
    if (variety.variety == row.variety) found = &variety;
  }
  if (found == nullptr)
    return context.error(at(i, "variety"), row.variety, "the variety is not in the varieties table", known_names(row.variety, names));
  const int year = context.season.crop_year;
  if (year < found->approved_from.value_or(year) || year > found->approved_to.value_or(year))
    context.error(at(i, "variety"), row.variety, fmt::format("the variety is not approved for crop year {}", year),
                  "choose an approved one, or correct approved_from and approved_to");
}

}  // namespace

void check_contracts(const RuleContext& context) {
  const auto& rows = context.season.contracts;
  check_unique(context, "contracts", rows, "contract", "contract", [](const ContractRow& row) { return row.contract; });
  for (std::size_t i = 0; i < rows.size(); ++i) {
    check_amount(context, rows[i], i);
    check_yield(context, rows[i], i);
    check_quality(context, rows[i], i);
    check_price(context, rows[i], i);
    check_dates(context, rows[i], i);
    check_delivery(context, rows[i], i);
    check_variety(context, rows[i], i);
  }
  if (context.was_read("history")) check_acres(context);
}

}  // namespace rickyard::rules
