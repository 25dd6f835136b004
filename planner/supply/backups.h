#pragma once
// Backups fail with the weather too: caps by scenario, and prices that rise when grain is short.
#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// Scenario s = year x draws_per_year + draw; a year's draws share its weight.
struct DrawnYears {
  const HarvestForecast& forecast;
  int draws_per_year = 1;
  std::size_t scenarios() const { return forecast.years.size() * static_cast<std::size_t>(draws_per_year); }
  std::size_t scenario(int year, int draw) const {
    return static_cast<std::size_t>(year) * static_cast<std::size_t>(draws_per_year) + static_cast<std::size_t>(draw);
  }
  double weight(std::size_t s) const { return forecast.weights[s / static_cast<std::size_t>(draws_per_year)] / draws_per_year; }
};

/// Offered and qualifying tonnes of all contracts at base hectares, by scenario.
struct HomeHarvest {
  std::vector<double> offered_t, qualifying_t;
};

/// Fills what `reference` holds of home harvests and caps: the means behind shortages and prices.
void measure(const Season& season, const DrawnYears& drawn, const HomeHarvest& home, SupplyReference& reference);

/// Fills Scenario::backups and home_shortage of every scenario of `out`, measured against `out.reference`.
void add_backups(const Season& season, const SeasonPatch& patch, const DrawnYears& drawn, const HomeHarvest& home, SupplyScenarios& out);

/// Season currency per unit of `currency` in a month: the row of that month, else the latest before it, else the first after it;
/// 1 for the season's own currency or where no row gives a rate.
double currency_rate(const Season& season, const std::string& currency, const Month& month);
/// Plain mean of the stated rates of a currency; 1 where there are none.
double mean_currency_rate(const Season& season, const std::string& currency);

}  // namespace rickyard
