// Rules of season.toml: dates, specification, data sources, risk, cases.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "planner/rules/rule_context.h"
#include "planner/rules/season_defaults.h"
#include "planner/rules/season_rules.h"
#include "planner/rules/season_words.h"

namespace rickyard::rules {
namespace {

void check_calendar(const RuleContext& context) {
  const Season& season = context.season;
  if (!context.has_dates()) return;
  const int year = season.crop_year;
  if (season.as_of < Date(static_cast<unsigned short>(year - 2), 1, 1) ||
      season.as_of > Date(static_cast<unsigned short>(year + 1), 12, 31))
    context.error(key("as_of"), to_text(season.as_of), fmt::format("the date has nothing to do with crop year {}", year),
                  "a crop year is named by its harvest; correct crop_year or as_of");
  const auto length = (context.last_day_of_season() - context.first_day_of_season()).days() + 1;
  if (length < 300 || length > 500)
    context.error(key("season_end"), to_text(season.season_end),
                  fmt::format("the season from {} of the year before would last {} days", to_text(season.season_start), length),
                  "give season_start after one harvest and season_end after the next");
  if (!season.plan_from || !season.plan_to) return;
  const int months = month_index(*season.plan_to) - month_index(*season.plan_from) + 1;
  if (months < 1)
    context.error(key("plan_to"), to_text(*season.plan_to), "the plan ends before it begins (" + to_text(*season.plan_from) + ")",
                  "give plan_to after plan_from");
  else if (months > 60)
    context.error(key("plan_to"), to_text(*season.plan_to), fmt::format("the plan has {} months, more than 60", months),
                  "check the years of plan_from and plan_to");
  if (*season.plan_from < month_of(season.as_of))
    context.error(key("plan_from"), to_text(*season.plan_from), "the plan begins before as_of (" + to_text(season.as_of) + ")",
                  "plan from the month of as_of, or later");
}

// Limits of a season or of a season with a patch. `where` gives the path of "limit_n_pct" and the others.
template <class Where>
void check_limits(const RuleContext& context, const Specification& spec, Where where) {
  if (spec.limit_n_pct && spec.stop_n_pct && *spec.stop_n_pct < *spec.limit_n_pct)
    context.error(where("stop_n_pct"), shown(spec.stop_n_pct), "the stop is below the limit (" + shown(spec.limit_n_pct) + ")",
                  "give a stop at or above limit_n_pct, or leave it out");
  if (spec.floor_n_pct && spec.limit_n_pct && *spec.limit_n_pct <= *spec.floor_n_pct)
    context.error(where("limit_n_pct"), shown(spec.limit_n_pct), "the limit is not above the floor (" + shown(spec.floor_n_pct) + ")",
                  "give a limit above floor_n_pct");
  if (spec.limit_policy == LimitPolicy::after_harvest && spec.limit_max && spec.stop_n_pct && *spec.limit_max < *spec.stop_n_pct)
    context.error(where("limit_max"), shown(spec.limit_max), "the highest limit is below the stop (" + shown(spec.stop_n_pct) + ")",
                  "give limit_max at or above stop_n_pct");
}

void check_spec(const RuleContext& context) {
  const Specification& spec = context.season.spec;
  check_limits(context, spec, [](const std::string& field) { return key("spec." + field); });
  if (spec.limit_policy == LimitPolicy::after_harvest && !spec.limit_max)
    context.error(key("spec.limit_max"), "", "a limit set after harvest has no highest value",
                  "give limit_max, or use limit_policy = \"fixed\"");
  if (spec.limit_policy == LimitPolicy::fixed && spec.limit_max)
    context.warning(key("spec.limit_max"), shown(spec.limit_max), "the value is not used with limit_policy = \"fixed\"",
                    "take it out, or use limit_policy = \"after_harvest\"");
}

void check_outlook(const RuleContext& context) {
  const Outlook& outlook = context.season.outlook;
  const double sum = outlook.dry + outlook.normal + outlook.wet;
  if (std::isfinite(sum) && std::abs(sum - 1) > 1e-3)
    context.error(key("outlook.dry"), shown(outlook.dry),
                  fmt::format("dry, normal and wet sum to {}, not to 1", shown(std::round(sum * 1e6) / 1e6)),
                  "give three chances that sum to 1");
}

void check_parameters(const RuleContext& context) {
  const ParameterSet& set = context.season.parameters;
  for (const std::string& name : set.names()) {
    if (!set.set_by_user(name)) continue;
    const ParameterSpec& spec = set.spec(name);
    if (!(set[name] >= spec.min && set[name] <= spec.max))
      context.error(key("parameters." + name), shown(set[name]),
                    fmt::format("the parameter is outside {} to {}{}", shown(spec.min), shown(spec.max),
                                spec.unit == "1" ? "" : " " + std::string(spec.unit)),
                    "the default is " + shown(spec.fallback));
  }
}

bool has(const Season& season, const std::string& raster) { return season.rasters.contains(raster); }

void check_soil(const RuleContext& context) {
  const Season& season = context.season;
  const bool texture = has(season, "sand") && has(season, "clay"), water = has(season, "available_water") && has(season, "drainage_class");
  if (season.soil && (texture || water))
    context.warning(key("soil"), "", "there are [soil] and soil rasters; the one soil everywhere is used", "take one of them out");
  if (season.soil || texture || water) return;
  const bool half = has(season, "sand") || has(season, "clay") || has(season, "available_water") || has(season, "drainage_class");
  context.error(key("rasters"), "",
                half ? "soil rasters go in pairs: sand and clay, or available_water and drainage_class" : "the daily model has no soil",
                "give [rasters.sand] and [rasters.clay], or [rasters.available_water] and [rasters.drainage_class], or [soil]");
}

void check_weather_sources(const RuleContext& context) {
  const Season& season = context.season;
  if (season.regions.path.empty())
    context.error(key("regions.path"), "", "the daily model has no regions", "give [regions] path, or model = \"formulas\"");
  if (!has(season, "rain"))
    context.error(key("rasters.rain"), "", "the daily model has no rain", "give [rasters.rain], or model = \"formulas\"");
  const bool pair = has(season, "tmin") && has(season, "tmax");
  if (!pair && !has(season, "tmean"))
    context.error(key("rasters.tmin"), "", "the daily model has no temperature",
                  "give [rasters.tmin] and [rasters.tmax], or [rasters.tmean] with diurnal_range_c");
  if (!pair && has(season, "tmean") && !season.diurnal_range_c)
    context.error(key("diurnal_range_c"), "", "only mean temperature is given",
                  "state diurnal_range_c, the usual difference of maximum and minimum");
  if (pair && season.diurnal_range_c)
    context.note(key("diurnal_range_c"), shown(season.diurnal_range_c), "the range is not used where tmin and tmax are given",
                 "take it out");
}

std::string row_of(const SourceRow& at) { return at.file.empty() ? "" : fmt::format("{}:{}", at.file, at.row); }

// The dearest tonne that the plan may buy, delivered, in the season's currency, and the rows that make it so.
struct Dearest {
  double price = 0;
  std::string rows;
  void offer(double other, const SourceRow& at, const PriceRow* priced) {
    if (other <= price) return;
    price = other;
    rows = row_of(at) + (priced ? " with " + row_of(priced->at) : "");
  }
};

Dearest dearest_landed(const Season& season) {
  Dearest dearest;
  const PriceRow* feed_row = nullptr;
  for (const auto& price : season.prices)
    if (price.feed_base && (!feed_row || *price.feed_base > *feed_row->feed_base)) feed_row = &price;
  for (const auto& row : season.backups) {
    const PriceRow* rate_row = nullptr;
    if (row.currency != season.currency)
      for (const auto& price : season.prices)
        if (price.currency == row.currency && price.currency_rate && (!rate_row || *price.currency_rate > *rate_row->currency_rate))
          rate_row = &price;
    const double rate = row.currency == season.currency ? 1 : rate_row ? *rate_row->currency_rate : 0;
    dearest.offer(rate * (row.price_per_t.value_or(0) + row.freight_per_t.value_or(0)) + row.price_cap.value_or(0), row.at, rate_row);
  }
  const double feed = feed_row ? *feed_row->feed_base : season.parameters["feed_base_per_t"];
  for (const auto& row : season.contracts) {
    const double premium = row.premium_per_t.value_or(0);
    const double price = row.price_form == PriceForm::fixed       ? row.price.value_or(0) + premium
                         : row.price_form == PriceForm::feed_plus ? feed + premium
                                                                  : row.price_ceiling.value_or(0);
    dearest.offer(price + row.haul_per_t.value_or(0), row.at, row.price_form == PriceForm::feed_plus ? feed_row : nullptr);
  }
  return dearest;
}

void check_names(const RuleContext& context, const FieldPath& where, const std::vector<std::string>& wanted,
                 const std::set<std::string>& known, const std::string& what) {
  for (const auto& name : wanted)
    if (!known.contains(name)) context.error(where, name, "no " + what + " has this name", known_names(name, known));
}

}  // namespace

void check_keys(const RuleContext& context) {
  const std::string& currency = context.season.currency;
  if (currency.size() != 3 || !std::all_of(currency.begin(), currency.end(), [](char c) { return c >= 'A' && c <= 'Z'; }))
    context.error(key("currency"), currency, "this is not a currency code", "write three capital letters, for instance GBP");
  check_calendar(context);
  check_spec(context);
  check_outlook(context);
  check_parameters(context);
}

void check_data_sources(const RuleContext& context) {
  const Season& season = context.season;
  if (season.soil && season.soil->sand_pct + season.soil->clay_pct > 100)
    context.error(key("soil.clay_pct"), shown(season.soil->clay_pct), "sand and clay are more than 100 % together",
                  "give per cent by weight; silt is the rest");
  if (season.model == ForecastModel::formulas) {
    if (!season.rasters.empty()) context.note(key("model"), "formulas", "rasters are not used with the formulas", "use model = \"daily\"");
    return;
  }
  check_weather_sources(context);
  check_soil(context);
}

void check_risk(const RuleContext& context) {
  const Season& season = context.season;
  if (season.risk.unmet_price && context.was_read("backups") && context.was_read("contracts") && context.was_read("prices")) {
    const Dearest dearest = dearest_landed(season);
    if (*season.risk.unmet_price < dearest.price)
      context.error(key("risk.unmet_price"), shown(season.risk.unmet_price),
                    fmt::format("need left unmet would be cheaper than the dearest grain ({:.2f} landed in a short year, {})",
                                dearest.price, dearest.rows),
                    "give a price above that, for instance three times the usual price, or mend that row");
  }
  std::set<std::string> origins, lines;
  for (const auto& row : season.contracts) origins.insert(row.origin);
  for (const auto& row : season.backups) origins.insert(row.origin);
  for (const auto& row : season.stock) origins.insert(row.origin);
  for (const auto& row : season.demand) lines.insert(row.line);
  for (std::size_t i = 0; i < season.share_limits.size(); ++i) {
    const ShareLimit& limit = season.share_limits[i];
    if (context.was_read("contracts") && context.was_read("backups") && context.was_read("stock") && !limit.origin.empty())
      check_names(context, cell("share_limit", i, "origin"), {limit.origin}, origins, "contract, backup or stock lot's origin");
    if (context.was_read("demand") && !limit.line.empty())
      check_names(context, cell("share_limit", i, "line"), {limit.line}, lines, "line of demand");
  }
}

void check_one_patch(const RuleContext& context, const SeasonPatch& patch, int row) {
  const Season& season = context.season;
  const auto where = [row](const std::string& field) { return FieldPath{"case", row, field}; };
  check_patch_bounds(context, patch, row);
  Specification spec = season.spec;
  const SeasonPatch full = completed_patch(season, patch);
  if (full.limit_n_pct) spec.limit_n_pct = full.limit_n_pct;
  if (full.stop_n_pct) spec.stop_n_pct = full.stop_n_pct;
  if (full.floor_n_pct) spec.floor_n_pct = full.floor_n_pct;
  const bool limits = full.limit_n_pct || full.stop_n_pct || full.floor_n_pct;
  if (limits) check_limits(context, spec, [&](const std::string& field) { return where(field == "limit_max" ? "stop_n_pct" : field); });
  std::set<std::string> regions, sources;
  for (const auto& contract : season.contracts) regions.insert(contract.region);
  for (const auto& backup : season.backups) {
    sources.insert(backup.source);
    if (!backup.region.empty()) regions.insert(backup.region);
  }
  if (context.was_read("contracts") && context.was_read("backups"))
    check_names(context, where("regions_lost"), patch.regions_lost, regions, "contract or backup's region");
  if (context.was_read("backups")) check_names(context, where("backups_lost"), patch.backups_lost, sources, "backup");
  for (const int year : patch.years)
    if (year < 1800 || year > 2200)
      context.error(where("years"), std::to_string(year), "this is not a weather year", "write harvest years, for instance [2018, 2022]");
}

void check_cases(const RuleContext& context) {
  std::set<std::string> names;
  for (std::size_t i = 0; i < context.season.cases.size(); ++i) {
    const SeasonPatch& patch = context.season.cases[i];
    if (!patch.name.empty() && !names.insert(patch.name).second)
      context.error(cell("case", i, "name"), patch.name, "another case has the same name", "give each case its own name");
    if (patch.name == "base")
      context.error(cell("case", i, "name"), patch.name, "base is the name of the plan without a case", "choose another name");
    check_one_patch(context, patch, static_cast<int>(i));
  }
}

}  // namespace rickyard::rules
