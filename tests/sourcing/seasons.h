#pragma once
// Seasons for the tests of the sourcing programme: small ones made by hand, random ones, and one of the demo's size.
#include "planner/season/season.h"
#include "planner/sourcing/need.h"
#include "planner/sourcing/sourcing.h"
#include "planner/supply/supply.h"

namespace rickyard::test {

/// A season with all parameters at their defaults, crop 2027, as of 1 March 2027, unmet need at 600 per t, no closing stock.
Season plain_season();

ContractRow area_contract(const std::string& region, double planted_ha, double price);
BackupRow backup(const std::string& source, const std::string& origin, double cap_t_month, double price);
DemandRow need_of(const std::string& line, const Month& month, double barley_t);
StockRow stock_of(const std::string& lot, const std::string& origin, int crop_year, double tonnes, double n_pct);

/// Scenarios made by hand: one per entry of `yield_t_ha`, equal weights; N by band 1.45, 1.58, 1.67, with shares 0.6, 0.35, 0.05 of
/// 92 % qualifying grain; backups at factor 1 and their listed price; harvest on 25 August.
SupplyScenarios supply_of(const Season& season, const std::vector<double>& yield_t_ha);

/// A season of at most 4 heaps, 6 months, 3 scenarios, drawn from `seed`, which leans it by turns, two at a time, towards a binding N
/// ceiling, a full store, a shared origin limit, or unmet claim need beside idle grain without the claim.
struct RandomSeason {
  Season season;
  SupplyScenarios supply;
};
RandomSeason random_season(unsigned seed);

/// The demo's size: 10 contract rows, 4 lots, 5 backups, 19 months, 2 lines.
Season demo_sized_season();

}  // namespace rickyard::test
