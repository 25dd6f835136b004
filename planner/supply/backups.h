#pragma once
// Backups fail with the weather too: caps by scenario, and prices that rise when grain is short.
#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// Offered and qualifying tonnes of all contracts at base hectares, by scenario in the order of SupplyScenarios::scenarios.
struct HomeHarvest {
  std::vector<double> offered_t, qualifying_t;
};

/// Fills Scenario::backups and home_shortage of every scenario. With `fixed`, means are taken from `out.reference`
/// as it stands; otherwise they are computed and stored there.
void add_backups(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const HomeHarvest& home, bool fixed,
                 SupplyScenarios& out);

/// Season currency per unit of `currency` in a month: the row of that month, else the latest before it, else the first after it;
/// 1 for the season's own currency or where no row gives a rate.
double currency_rate(const Season& season, const std::string& currency, const Month& month);
/// Plain mean of the stated rates of a currency; 1 where there are none.
double mean_currency_rate(const Season& season, const std::string& currency);

}  // namespace rickyard
