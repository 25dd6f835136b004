#include "planner/decision/price_forms.h"

#include "planner/sourcing/claims.h"
#include "planner/sourcing/market.h"

namespace rickyard {
namespace {

PriceForms::ByLevel at_levels(ContractRow row, PriceForm form, const PriceForms& levels, double default_price) {
  row.price_form = form;
  PriceForms::ByLevel out{};
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = contract_price_per_t(row, levels.feed_per_t[i], default_price);
  return out;
}

}  // namespace

PriceForms compare_price_forms(const Season& season) {
  const auto prices = market(season, plan_months(season));
  const auto& p = season.parameters;
  PriceForms out;
  out.feed_per_t = {prices.mean_feed - p["feed_drop_per_t"], prices.mean_feed, prices.mean_feed + p["feed_rise_per_t"]};
  for (std::size_t c = 0; c < season.contracts.size(); ++c) {
    ContractRow row = season.contracts[c];
    const double today = contract_price_per_t(row, prices.mean_feed, prices.default_contract_price());
    if (row.price_form != PriceForm::fixed) row.price = today;
    if (row.price_form == PriceForm::fixed) row.premium_per_t = today - prices.mean_feed;
    if (!row.price_floor) row.price_floor = today - p["collar_width_per_t"];
    if (!row.price_ceiling) row.price_ceiling = today + p["collar_width_per_t"];
    out.rows.push_back({static_cast<int>(c), *row.premium_per_t, *row.price_floor, *row.price_ceiling,
                        at_levels(row, PriceForm::fixed, out, today), at_levels(row, PriceForm::feed_plus, out, today),
                        at_levels(row, PriceForm::collar, out, today)});
  }
  return out;
}

}  // namespace rickyard
