#include "planner/decision/own_grain.h"

#include <algorithm>
#include <numeric>
#include <span>

#include "planner/sourcing/claims.h"
#include "planner/sourcing/market.h"
#include "planner/sourcing/programme_terms.h"
#include "planner/supply/contract_grain.h"

namespace rickyard {
namespace {

constexpr double kMostScale = 1000;  // no contracts table is out by more

// Qualifying tonnes of rows that are scaled and of the rest, and what is asked, in every supply scenario.
struct Drawn {
  std::vector<double> open_t, fixed_t, asked_t, weight;

  std::vector<double> surplus(double scale) const {
    std::vector<double> out;
    for (std::size_t s = 0; s < weight.size(); ++s) out.push_back(fixed_t[s] + scale * open_t[s] - asked_t[s]);
    return out;
  }
};

Drawn drawn(const Season& season, const SupplyScenarios& supply, const AskedOfCrop& asked) {
  Drawn out;
  for (const auto& scenario : supply.scenarios) {
    double open = 0, fixed = 0;
    for (std::size_t c = 0; c < scenario.contracts.size(); ++c)
      (may_be_signed(season, season.contracts[c]) ? open : fixed) += scenario.contracts[c].qualifying_t;
    out.open_t.push_back(open);
    out.fixed_t.push_back(fixed);
    out.asked_t.push_back(asked.asked_t(scenario.demand_factor));
    out.weight.push_back(scenario.weight);
  }
  return out;
}

// The least scale at which the surplus is not negative in `chance` of scenarios; the surplus grows with it in every one.
std::optional<double> least_scale(const Drawn& rows, double chance) {
  const auto enough = [&](double scale) { return weighted_quantile(rows.surplus(scale), rows.weight, 1 - chance) >= 0; };
  if (enough(0)) return 0;
  double low = 0, high = 1;
  while (!enough(high)) {
    low = high;
    high *= 2;
    if (high > kMostScale) return std::nullopt;
  }
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (enough(middle) ? high : low) = middle;
  }
  return high;
}

// Contract price at the mean feed price and haul, weighted by mean qualifying tonnes, less feed net of its haul.
double surplus_cost_per_t(const Season& season, const SupplyScenarios& supply) {
  const auto prices = market(season, plan_months(season));
  double value = 0, t = 0;
  for (const auto& scenario : supply.scenarios)
    for (std::size_t c = 0; c < scenario.contracts.size(); ++c) {
      const auto& row = season.contracts[c];
      const double weighted = scenario.weight * scenario.contracts[c].qualifying_t;
      value += weighted * (contract_price_per_t(row, prices.mean_feed, prices.default_contract_price()) + row.haul_per_t.value_or(0));
      t += weighted;
    }
  return t > 0 ? value / t - (prices.mean_feed - prices.reject_haul_per_t) : 0;
}

}  // namespace

double AskedOfCrop::asked_t(double demand_factor) const { return std::max(0.0, need_t * demand_factor + closing_t - stock_t); }

AskedOfCrop asked_of_crop(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const Need& need,
                          const SupplyScenarios& supply) {
  AskedOfCrop out;
  for (const auto& row : need.by_month) out.need_t += row.reference_t;
  for (const auto& [claim, t] : programme_terms(season, patch, forecast, need, supply).closing_t) out.closing_t += t;
  for (const auto& row : season.stock) out.stock_t += row.tonnes;
  return out;
}

std::optional<HectaresNeeded> hectares_needed(const Season& season, const SupplyScenarios& supply, const AskedOfCrop& asked,
                                              double chance) {
  if (std::none_of(season.contracts.begin(), season.contracts.end(), [&](const auto& row) { return may_be_signed(season, row); }))
    return std::nullopt;
  const Drawn rows = drawn(season, supply, asked);
  std::vector<double> own(rows.weight.size());
  std::transform(rows.open_t.begin(), rows.open_t.end(), rows.fixed_t.begin(), own.begin(), std::plus<>());
  HectaresNeeded out;
  out.chance = chance;
  out.asked_t = asked.asked_t();
  out.qualifying_t = weighted_quantile(own, rows.weight, 1 - chance);
  double open_ha = 0;
  for (const auto& row : season.contracts) {
    out.hectares += planted_ha_of(row);
    if (may_be_signed(season, row)) open_ha += planted_ha_of(row);
  }
  out.surplus_cost_per_t = surplus_cost_per_t(season, supply);
  out.scale = least_scale(rows, chance);
  if (!out.scale) return out;
  out.hectares_needed = out.hectares + (*out.scale - 1) * open_ha;
  auto surplus = rows.surplus(*out.scale);
  for (double& t : surplus) t = std::max(0.0, t);
  out.median_surplus_t = weighted_quantile(surplus, rows.weight, 0.5);
  out.median_surplus_cost = out.median_surplus_t * out.surplus_cost_per_t;
  return out;
}

}  // namespace rickyard
