// Rules of stock, stores, maltings, prices, outlets, varieties and history.
#include <fmt/format.h>

#include <algorithm>

#include "planner/rules/rule_context.h"

namespace rickyard::rules {
namespace {

std::set<std::string> store_names(const Season& season) {
  std::set<std::string> names;
  for (const auto& row : season.stores) names.insert(row.store);
  return names;
}

void check_lot(const RuleContext& context, const StockRow& row, std::size_t i, const std::set<std::string>& stores) {
  const Season& season = context.season;
  if (context.was_read("stores") && !stores.empty() && !stores.contains(row.store))
    context.error(cell("stock", i, "store"), row.store, "the store is not in the stores table", known_names(row.store, stores));
  if (!context.has_dates()) return;
  if (row.crop_year > season.crop_year)
    context.error(cell("stock", i, "crop_year"), std::to_string(row.crop_year),
                  fmt::format("the crop year is after the season's ({})", season.crop_year), "a crop year is named by its harvest");
  else if (row.crop_year == season.crop_year && season.as_of < context.last_day_of_season() - boost::gregorian::days(153))
    context.error(cell("stock", i, "crop_year"), std::to_string(row.crop_year), "the crop is not harvested on " + to_text(season.as_of),
                  "a crop year is named by its harvest: old crop has the year before");
  if (row.available_from && context.has_plan() && *row.available_from > last_day(*season.plan_to))
    context.warning(cell("stock", i, "available_from"), to_text(*row.available_from),
                    "the lot becomes available after the plan's last month", "check the year of the date");
}

void check_stores(const RuleContext& context) {
  const Season& season = context.season;
  check_unique(context, "stores", season.stores, "store", "store", [](const StoreRow& row) { return row.store; });
  std::map<std::string, double> held;
  for (const auto& lot : season.stock) held[lot.store] += lot.tonnes;
  for (std::size_t i = 0; i < season.stores.size(); ++i)
    if (const double tonnes = held[season.stores[i].store]; tonnes > season.stores[i].capacity_t)
      context.warning(cell("stores", i, "capacity_t"), shown(season.stores[i].capacity_t),
                      fmt::format("the stock listed for the store is {} t", shown(tonnes)), "check the capacity and the stock table");
}

void check_maltings(const RuleContext& context) {
  const auto& rows = context.season.maltings;
  check_unique(context, "maltings", rows, "plant", "plant and month",
               [](const MaltingRow& row) { return row.plant + (row.month ? " " + to_text(*row.month) : " (every month)"); });
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const auto& month = rows[i].month;
    if (month && rows[i].shut_days && *rows[i].shut_days > days_in(*month))
      context.error(cell("maltings", i, "shut_days"), shown(rows[i].shut_days),
                    fmt::format("there are more days shut than days in {} ({})", to_text(*month), days_in(*month)),
                    "give the days of this month only");
    if (month && context.has_plan() && (*month < *context.season.plan_from || *month > *context.season.plan_to))
      context.warning(cell("maltings", i, "month"), to_text(*month), "the month is outside the plan",
                      "check the year, or take the row out");
  }
}

std::set<std::string> variety_names(const Season& season) {
  std::set<std::string> names;
  for (const auto& row : season.varieties) names.insert(row.variety);
  return names;
}

// What calibration would have to leave out.
void check_history_use(const RuleContext& context, const HistoryRow& row, std::size_t i) {
  const auto at = [i](std::string field) { return cell("history", i, std::move(field)); };
  const auto varieties = variety_names(context.season);
  if (!row.variety.empty() && context.was_read("varieties") && !varieties.empty() && !varieties.contains(row.variety))
    context.error(at("variety"), row.variety, "the variety is not in the varieties table", known_names(row.variety, varieties));
  if (!row.grower.empty() && !row.delivered_t && (row.n_pct || row.planted_ha))
    context.warning(at("delivered_t"), "", "a grower without tonnes cannot be averaged with the others and is left out of calibration",
                    "give delivered_t");
  if (row.delivered_t && *row.delivered_t == 0 && row.planted_ha && *row.planted_ha > 0)
    context.warning(at("delivered_t"), "0", "a season without any delivery is left out of calibration",
                    "check that nothing was delivered; a crop lost altogether is not an average yield");
}

void check_history(const RuleContext& context) {
  const auto& rows = context.season.history;
  check_unique(context, "history", rows, "crop_year", "region, grower and crop year", [](const HistoryRow& row) {
    return row.region.empty() ? std::string()
                              : fmt::format("{}{}{} {}", row.region, row.grower.empty() ? "" : " / ", row.grower, row.crop_year);
  });
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const HistoryRow& row = rows[i];
    const auto at = [i](std::string field) { return cell("history", i, std::move(field)); };
    check_history_use(context, row, i);
    if (context.has_dates() && row.crop_year >= context.season.crop_year)
      context.error(at("crop_year"), std::to_string(row.crop_year),
                    fmt::format("history is not before the season's crop year ({})", context.season.crop_year),
                    "a crop year is named by its harvest; take the row out, or correct the year");
    if (row.qualifying_t && row.delivered_t && *row.qualifying_t > *row.delivered_t)
      context.error(at("qualifying_t"), shown(row.qualifying_t), "more qualified than was delivered (" + shown(row.delivered_t) + " t)",
                    "check both figures and their moisture basis");
    if (row.planted_ha && row.delivered_t && *row.planted_ha > 0 && (*row.delivered_t / *row.planted_ha > 14))
      context.warning(at("delivered_t"), shown(row.delivered_t),
                      fmt::format("the yield would be {:.2f} t/ha", *row.delivered_t / *row.planted_ha), "check tonnes and hectares");
    if (row.n_basis == NitrogenBasis::accepted && !row.limit_n_pct)
      context.error(at("limit_n_pct"), "", "nitrogen of accepted grain is given without the limit of that season",
                    "give limit_n_pct, or use n_basis all_grain");
    if (row.n_basis == NitrogenBasis::accepted && row.limit_n_pct && row.n_pct && *row.n_pct >= *row.limit_n_pct)
      context.error(at("n_pct"), shown(row.n_pct), "the mean of accepted grain is not below its limit (" + shown(row.limit_n_pct) + ")",
                    "use n_basis all_grain, or correct one of the two");
    if (row.sown && row.sown->year() != row.crop_year && row.sown->year() != row.crop_year - 1)
      context.error(at("sown"), to_text(*row.sown), fmt::format("the date does not belong to crop year {}", row.crop_year),
                    "check the year of the date");
  }
}

}  // namespace

void check_stock_and_stores(const RuleContext& context) {
  const auto stores = store_names(context.season);
  check_unique(context, "stock", context.season.stock, "lot", "lot", [](const StockRow& row) { return row.lot; });
  for (std::size_t i = 0; i < context.season.stock.size(); ++i) check_lot(context, context.season.stock[i], i, stores);
  check_stores(context);
  check_maltings(context);
}

void check_prices_and_outlets(const RuleContext& context) {
  const Season& season = context.season;
  check_unique(context, "prices", season.prices, "month", "month and currency",
               [](const PriceRow& row) { return to_text(row.month) + (row.currency.empty() ? "" : " " + row.currency); });
  for (std::size_t i = 0; i < season.prices.size(); ++i) {
    const PriceRow& row = season.prices[i];
    if (!row.currency.empty() && !row.currency_rate)
      context.error(cell("prices", i, "currency_rate"), "", "the currency has no rate",
                    "give the season's currency for one unit of " + row.currency);
    if (row.currency.empty() && row.currency_rate)
      context.error(cell("prices", i, "currency"), "", "the rate has no currency", "name the currency, for instance EUR");
    if (row.currency == season.currency && row.currency_rate && *row.currency_rate != 1)
      context.error(cell("prices", i, "currency_rate"), shown(row.currency_rate), "the rate of the season's own currency is not 1",
                    "name the foreign currency");
  }
  check_unique(context, "outlets", season.outlets, "outlet", "outlet", [](const OutletRow& row) { return row.outlet; });
  for (std::size_t i = 0; i < season.outlets.size(); ++i) {
    const OutletRow& row = season.outlets[i];
    if (row.n_min_pct && row.n_max_pct && *row.n_min_pct > *row.n_max_pct)
      context.error(cell("outlets", i, "n_min_pct"), shown(row.n_min_pct),
                    "the lowest nitrogen is above the highest (" + shown(row.n_max_pct) + ")", "swap them");
  }
}

void check_varieties_and_history(const RuleContext& context) {
  const auto& rows = context.season.varieties;
  check_unique(context, "varieties", rows, "variety", "variety", [](const VarietyRow& row) { return row.variety; });
  for (std::size_t i = 0; i < rows.size(); ++i)
    if (rows[i].approved_from && rows[i].approved_to && *rows[i].approved_from > *rows[i].approved_to)
      context.error(cell("varieties", i, "approved_from"), std::to_string(*rows[i].approved_from),
                    fmt::format("the approval begins after it ends ({})", *rows[i].approved_to), "swap the years");
  check_history(context);
}

}  // namespace rickyard::rules
