#pragma once
// Prices by plan month: feed, spread and what they make of a contract's default price and of spot grain.
#include <vector>

#include "planner/season/season.h"
#include "planner/sourcing/need.h"

namespace rickyard {

struct Market {
  std::vector<double> feed_per_t, spread_per_t;  // [plan month]
  double mean_feed = 0, mean_spread = 0;         // over the plan months
  double reject_haul_per_t = 0;                  // haulage of feed and rejects
  double default_contract_price() const { return mean_feed + mean_spread; }
};

/// A month without its own row takes the latest row before it, else the first after it, else the parameters.
Market market(const Season& season, const PlanMonths& plan);

/// Spot malting barley: feed + spread + min(price cap, slope x 100 x home shortage).
double spot_price_per_t(const Season& season, const Market& market, int month, double home_shortage);

}  // namespace rickyard
