#include "planner/rules/season_defaults.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "planner/rules/season_fields.h"
#include "planner/rules/season_words.h"

namespace rickyard {
namespace {

// Fills fields of one table and records each fill.
class Filler {
 public:
  Filler(Season& season, std::string_view table) : season_(season), table_(table) {}

  /// The number of the field reference.
  void number(std::optional<double>& field, std::string_view name) {
    if (field) return;
    field = number_fallback(table_, name);
    record_default(season_, table_, name, find_field(table_, name)->fallback);
  }
  void parameter(std::optional<double>& field, std::string_view name, std::string_view parameter_name) {
    if (field) return;
    field = season_.parameters[parameter_name];
    record_default(season_, table_, name, fmt::format("{}", *field));
  }
  /// A value made from others.
  template <class T>
  void value(std::optional<T>& field, std::string_view name, const T& filled) {
    if (field) return;
    field = filled;
    if constexpr (std::is_same_v<T, double>)
      record_default(season_, table_, name, fmt::format("{}", filled));
    else
      record_default(season_, table_, name, to_text(filled));
  }
  void words(std::string& field, std::string_view name, std::string_view filled, std::string_view shown = {}) {
    if (!field.empty() || filled.empty()) return;
    field = filled;
    record_default(season_, table_, name, shown.empty() ? find_field(table_, name)->fallback : shown);
  }

 private:
  Season& season_;
  std::string_view table_;
};

// A fill that means nothing for this row is not worth a line in the list.
template <class T, class U>
void quietly(std::optional<T>& field, const U& filled) {
  if (!field) field = filled;
}

bool has_dates(const Season& season) { return season.crop_year >= 1990 && season.crop_year <= 2200 && !season.as_of.is_special(); }

// A default is not taken from a value that is itself a mistake: it would be reported twice.
bool is_nitrogen(double n_pct) {
  const FieldSpec& field = *find_field("season", "spec.limit_n_pct");
  return n_pct >= field.min && n_pct <= field.max;
}

// Mean of a price column over the rows that give it.
std::optional<double> mean_of(const std::vector<PriceRow>& prices, std::optional<double> PriceRow::*column) {
  double sum = 0;
  int n = 0;
  for (const auto& row : prices)
    if (row.*column) {
      sum += *(row.*column);
      ++n;
    }
  if (n == 0) return std::nullopt;
  return sum / n;
}

// The last date on which waiting costs nothing, counted from the season's first day.
Date usual_sowing(const Season& season) {
  return in_year(season.season_start, season.crop_year - 1) + boost::gregorian::days(std::lround(season.parameters["sowing_flat_days"]));
}

void default_sowing(const Season& season, ContractRow& row, Filler& fill) {
  using boost::gregorian::days;
  if (!row.sow_planned) {
    Date planned = usual_sowing(season);
    if (row.sow_latest) planned = std::min(planned, *row.sow_latest);
    if (row.sow_earliest) planned = std::max(planned, *row.sow_earliest);
    fill.value(row.sow_planned, "sow_planned", planned);
  }
  fill.value(row.sow_earliest, "sow_earliest", *row.sow_planned - days(std::lround(season.parameters["default_sow_before_days"])));
  fill.value(row.sow_latest, "sow_latest", *row.sow_planned + days(std::lround(season.parameters["sow_wait_days"])));
}

void default_contract_ids(Season& season) {
  std::set<std::string> taken;
  for (const auto& row : season.contracts)
    if (!row.contract.empty()) taken.insert(row.contract);
  Filler fill(season, "contracts");
  for (auto& row : season.contracts) {
    if (!row.contract.empty() || row.region.empty()) continue;
    const std::string base = row.region + "-" + std::string(word_of(row.form));
    std::string id = base;
    for (int n = 2; !taken.insert(id).second; ++n) id = base + "-" + std::to_string(n);
    fill.words(row.contract, "contract", id, "region-form");
  }
}

// Hectares declared as planted end the choice of an area form; the tonnes of a tonnage contract stay due.
void take_declared_ha(Season& season, ContractRow& row) {
  const FieldSpec& field = *find_field("contracts", "declared_ha");
  if (!row.declared_ha || !(*row.declared_ha >= field.min && *row.declared_ha <= field.max)) return;
  const std::string what = "contracts.declared_ha, " + row.contract;
  const auto said = [&](const Declared& declared) { return declared.what == what; };
  if (std::any_of(season.declared.begin(), season.declared.end(), said)) return;
  row.contracted_ha = row.planted_ha;
  row.planted_ha = row.declared_ha;
  if (row.form != ContractForm::tonnage) row.min_ha = row.max_ha = row.declared_ha;
  const std::string before = row.contracted_ha ? fmt::format(" in place of {} ha", *row.contracted_ha) : "";
  season.declared.push_back({what, fmt::format("{} ha{}", *row.declared_ha, before), "declared as planted in the contracts table"});
}

void default_amounts(Season& season, ContractRow& row, Filler& fill) {
  const bool tonnage = row.form == ContractForm::tonnage;
  fill.number(row.growers, "growers");
  if (tonnage && row.contracted_t && row.yield_t_ha && *row.yield_t_ha > 0)
    fill.value(row.planted_ha, "planted_ha", *row.contracted_t / *row.yield_t_ha);
  take_declared_ha(season, row);
  if (row.planted_ha && *row.planted_ha > 0) {
    fill.value(row.min_ha, "min_ha", *row.planted_ha);
    fill.value(row.max_ha, "max_ha", *row.planted_ha);
  }
  fill.number(row.harvested_share, "harvested_share");
  if (tonnage) {
    if (row.contracted_t)
      fill.value(row.tolerance_t, "tolerance_t",
                 std::min(season.parameters["tolerance_pct"] / 100 * *row.contracted_t,
                          season.parameters["tolerance_t_per_grower"] * *row.growers));
    fill.number(row.made_good, "made_good");
    fill.number(row.settled_share, "settled_share");
  } else {
    quietly(row.tolerance_t, 0.0);
    quietly(row.made_good, number_fallback("contracts", "made_good"));
    quietly(row.settled_share, number_fallback("contracts", "settled_share"));
  }
}

void default_contracts(Season& season) {
  const std::optional<double> feed = mean_of(season.prices, &PriceRow::feed_base), spread = mean_of(season.prices, &PriceRow::spread);
  const double normal_price =
      feed.value_or(season.parameters["feed_base_per_t"]) + spread.value_or(season.parameters["normal_spread_per_t"]);
  const double store_cost =
      season.stores.empty() ? season.parameters["storage_cost_per_t_month"] : season.stores.front().cost_per_t_month.value_or(0);
  if (!feed && !season.contracts.empty())
    record_default(season, "prices", "feed_base", fmt::format("{}", season.parameters["feed_base_per_t"]));
  default_contract_ids(season);
  Filler fill(season, "contracts");
  for (auto& row : season.contracts) {
    fill.words(row.origin, "origin", row.region);
    default_amounts(season, row, fill);
    if (row.yield_basis == YieldBasis::in_field) fill.number(row.headland_share, "headland_share");
    quietly(row.headland_share, number_fallback("contracts", "headland_share"));
    if (!row.typical_n_pct) row.typical_n_is_default = true;
    fill.number(row.typical_n_pct, "typical_n_pct");
    fill.parameter(row.typical_screenings_pct, "typical_screenings_pct", "default_screenings_pct");
    fill.parameter(row.typical_other_failure_pct, "typical_other_failure_pct", "default_other_failure_pct");
    fill.parameter(row.n_rate_kg_ha, "n_rate_kg_ha", "n_rate_reference_kg_ha");
    if (has_dates(season)) {
      default_sowing(season, row, fill);
      fill.value(row.sign_by, "sign_by", season.as_of);
    }
    if (row.price_form == PriceForm::fixed) fill.value(row.price, "price", normal_price);
    quietly(row.price, normal_price);
    fill.number(row.premium_per_t, "premium_per_t");
    fill.number(row.haul_per_t, "haul_per_t");
    const bool in_store = row.held == Held::store;
    fill.value(row.hold_per_t_month, "hold_per_t_month", in_store ? store_cost : 0.0);
  }
}

std::string_view link_parameter(BackupKind kind) {
  if (kind == BackupKind::merchant) return "weather_link_merchant";
  return kind == BackupKind::vessel ? "weather_link_vessel" : "weather_link_other_region";
}

void default_backups(Season& season) {
  Filler fill(season, "backups");
  for (auto& row : season.backups) {
    if (row.region.empty()) fill.parameter(row.weather_link, "weather_link", link_parameter(row.kind));
    fill.parameter(row.price_slope, "price_slope", "shortage_price_slope");
    fill.parameter(row.price_cap, "price_cap", "shortage_price_cap");
    fill.parameter(row.cap_cv, "cap_cv", "backup_cap_cv");
    for (auto [field, name] : {std::pair{&BackupRow::accept_share, "accept_share"},
                               {&BackupRow::lot_t, "lot_t"},
                               {&BackupRow::min_take_t, "min_take_t"},
                               {&BackupRow::lead_days, "lead_days"},
                               {&BackupRow::committed_t, "committed_t"},
                               {&BackupRow::freight_per_t, "freight_per_t"},
                               {&BackupRow::option_fee_per_t, "option_fee_per_t"},
                               {&BackupRow::n_pct, "n_pct"},
                               {&BackupRow::n_sd, "n_sd"},
                               {&BackupRow::screenings_pct, "screenings_pct"},
                               {&BackupRow::moisture_pct, "moisture_pct"}})
      fill.number(row.*field, name);
    if (row.min_take_kind == MinimumTake::none && *row.min_take_t > 0) {
      row.min_take_kind = MinimumTake::if_used;
      record_default(season, "backups", "min_take_kind", "if_used");
    }
    if (row.price_per_t && *row.price_per_t >= 0) {
      if (*row.committed_t > 0) fill.value(row.committed_price, "committed_price", *row.price_per_t);
      quietly(row.committed_price, *row.price_per_t);
    }
    fill.words(row.currency, "currency", season.currency, season.currency);
  }
}

void default_demand(Season& season) {
  Filler fill(season, "demand");
  for (auto& row : season.demand) {
    fill.number(row.low_factor, "low_factor");
    fill.number(row.high_factor, "high_factor");
    if (row.month) quietly(row.silent_days, 0.0);
    fill.parameter(row.silent_days, "silent_days", "silent_season_days");
    fill.number(row.priority, "priority");
  }
}

void default_stores(Season& season) {
  Filler fill(season, "stores");
  for (auto& row : season.stores) {
    fill.parameter(row.loss_pct_year, "loss_pct_year", "store_loss_pct_year");
    fill.parameter(row.cost_per_t_month, "cost_per_t_month", "storage_cost_per_t_month");
  }
}

void default_stock(Season& season) {
  Filler fill(season, "stock");
  for (auto& row : season.stock) {
    fill.words(row.lot, "lot", fmt::format("stock-{}", row.at.row), "stock-ROW");
    if (!season.stores.empty()) fill.words(row.store, "store", season.stores.front().store);
    if (has_dates(season)) fill.value(row.available_from, "available_from", season.as_of);
    fill.number(row.n_pct, "n_pct");
    fill.number(row.screenings_pct, "screenings_pct");
    fill.number(row.moisture_pct, "moisture_pct");
  }
}

void default_other_tables(Season& season) {
  Filler shut(season, "maltings");
  for (auto& row : season.maltings) shut.number(row.shut_days, "shut_days");
  Filler fill(season, "varieties");
  for (auto& row : season.varieties) {
    fill.number(row.yield_factor, "yield_factor");
    fill.number(row.n_offset_pct, "n_offset_pct");
    fill.number(row.thermal_factor, "thermal_factor");
  }
}

void default_horizon(Season& season, Filler& fill) {
  if (!has_dates(season)) return;
  if (!season.plan_from) {
    const Month from = add_months(month_of(season.as_of), 1);
    fill.value(season.plan_from, "plan_from", from);
  }
  if (season.plan_to) return;
  std::optional<Month> last;
  for (const auto& row : season.demand)
    if (row.month && (!last || *last < *row.month)) last = row.month;
  const Month to = last.value_or(add_months(*season.plan_from, 11));
  fill.value(season.plan_to, "plan_to", to);
}

void default_keys(Season& season) {
  Filler fill(season, "season");
  default_horizon(season, fill);
  fill.number(season.spec.limit_n_pct, "spec.limit_n_pct");
  if (is_nitrogen(*season.spec.limit_n_pct)) fill.value(season.spec.stop_n_pct, "spec.stop_n_pct", *season.spec.limit_n_pct);
  fill.number(season.spec.screenings_max_pct, "spec.screenings_max_pct");
  fill.number(season.spec.germination_min_pct, "spec.germination_min_pct");
  fill.number(season.risk.lambda, "risk.lambda");
  fill.number(season.risk.alpha, "risk.alpha");
  if (!season.regions.path.empty()) fill.words(season.regions.id, "regions.id", find_field("season", "regions.id")->fallback);
  for (auto& [name, raster] : season.rasters) fill.words(raster.step, "rasters." + name + ".step", "day");
  if (season.soil) {
    fill.number(season.soil->stones_pct, "soil.stones_pct");
    fill.number(season.soil->root_depth_m, "soil.root_depth_m");
  }
  for (auto& patch : season.cases) patch = completed_patch(season, std::move(patch));
}

// Position of an entry in the reference, so that the list does not depend on the order of filling.
std::pair<std::size_t, std::size_t> rank_of(std::string_view dotted) {
  const auto names = table_names();
  for (std::size_t t = 0; t < names.size(); ++t) {
    if (!dotted.starts_with(names[t]) || dotted.size() <= names[t].size() || dotted[names[t].size()] != '.') continue;
    if (const FieldSpec* field = find_field(names[t], dotted.substr(names[t].size() + 1)))
      return {t + 1, static_cast<std::size_t>(field - fields_of(names[t]).data())};
  }
  const FieldSpec* field = find_field("season", dotted);
  return {0, field == nullptr ? 0 : static_cast<std::size_t>(field - fields_of("season").data())};
}

}  // namespace

void record_default(Season& season, std::string_view table, std::string_view field, std::string_view value, int rows) {
  const std::string name = table == "season" ? std::string(field) : fmt::format("{}.{}", table, field);
  const auto found =
      std::find_if(season.defaults_used.begin(), season.defaults_used.end(), [&](const DefaultUsed& d) { return d.name == name; });
  const FieldSpec& spec = *find_field(table, field);
  const bool words = spec.kind == FieldKind::text || spec.kind == FieldKind::words || spec.kind == FieldKind::yes_no;
  if (found == season.defaults_used.end()) {
    season.defaults_used.push_back({name, std::string(value), words ? std::string() : std::string(spec.unit), std::string(spec.status),
                                    std::string(spec.source), rows});
    return;
  }
  found->rows += rows;
  if (found->value != value) found->value = spec.fallback;
}

SeasonPatch completed_patch(const Season& season, SeasonPatch patch) {
  if (patch.limit_n_pct && !patch.stop_n_pct && season.spec.limit_n_pct && season.spec.stop_n_pct)
    patch.stop_n_pct = *patch.limit_n_pct + (*season.spec.stop_n_pct - *season.spec.limit_n_pct);
  return patch;
}

void apply_defaults(Season& season) {
  default_keys(season);
  default_stores(season);
  default_contracts(season);
  default_backups(season);
  default_demand(season);
  default_stock(season);
  default_other_tables(season);
  std::stable_sort(season.defaults_used.begin(), season.defaults_used.end(), [](const DefaultUsed& a, const DefaultUsed& b) {
    return std::pair(rank_of(a.name), a.name) < std::pair(rank_of(b.name), b.name);
  });
}

}  // namespace rickyard
