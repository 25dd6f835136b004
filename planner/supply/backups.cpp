#include "planner/supply/backups.h"

#include <algorithm>
#include <cmath>

#include "planner/base/draws.h"

namespace rickyard {
namespace {

double link_of(const Season& season, const BackupRow& row) {
  if (row.weather_link) return *row.weather_link;
  switch (row.kind) {
    case BackupKind::merchant:
      return season.parameters["weather_link_merchant"];
    case BackupKind::other_region:
      return season.parameters["weather_link_other_region"];
    case BackupKind::vessel:
      return season.parameters["weather_link_vessel"];
  }
  return 0;
}

double weighted_sum(const std::vector<double>& values, const SupplyScenarios& scenarios) {
  double sum = 0;
  for (std::size_t s = 0; s < values.size(); ++s) sum += scenarios.scenarios[s].weight * values[s];
  return sum;
}

void home_means(const HomeHarvest& home, SupplyScenarios& out) {
  auto& reference = out.reference;
  reference.mean_offered_t = weighted_sum(home.offered_t, out);
  reference.mean_qualifying_t = weighted_sum(home.qualifying_t, out);
  double square = 0;
  if (reference.mean_offered_t > 0)
    for (std::size_t s = 0; s < home.offered_t.size(); ++s) {
      const double d = home.offered_t[s] / reference.mean_offered_t - 1;
      square += out.scenarios[s].weight * d * d;
    }
  reference.sd_offered = std::sqrt(square);
}

// Standardised home yield factor of a scenario; 0 where it never varies.
double home_standing(const HomeHarvest& home, const SupplyReference& reference, std::size_t s) {
  if (!(reference.mean_offered_t > 0) || !(reference.sd_offered > 1e-12)) return 0;
  return (home.offered_t[s] / reference.mean_offered_t - 1) / reference.sd_offered;
}

double cap_factor(const Season& season, const HarvestForecast& forecast, const Scenario& scenario, int harvest_year, std::size_t b,
                  double standing) {
  if (b < forecast.backup_yield_factor.size() && !forecast.backup_yield_factor[b].empty()) {
    const auto variant = static_cast<std::size_t>(variant_of(harvest_year, scenario.draw, forecast.variants));
    return std::max(forecast.backup_yield_factor[b][variant * forecast.years.size() + static_cast<std::size_t>(scenario.year)], 0.0);
  }
  const auto& row = season.backups[b];
  const double link = link_of(season, row), cv = row.cap_cv.value_or(season.parameters["backup_cap_cv"]);
  const double own =
      (scenario.draw % 2 == 0 ? 1 : -1) * normal_draw(season.seed, DrawPurpose::backup_link,
                                                      {static_cast<std::uint32_t>(harvest_year),
                                                       static_cast<std::uint32_t>(scenario.draw / 2), static_cast<std::uint32_t>(b), 0});
  return std::max(1 + cv * (link * standing + std::sqrt(std::max(1 - link * link, 0.0)) * own), 0.0);
}

double shortfall(double value, double mean) { return mean > 0 ? std::max(0.0, 1 - value / mean) : 0; }

}  // namespace

double currency_rate(const Season& season, const std::string& currency, const Month& month) {
  if (currency.empty() || currency == season.currency) return 1;
  const PriceRow *before = nullptr, *after = nullptr;
  for (const auto& row : season.prices) {
    if (row.currency != currency || !row.currency_rate) continue;
    if (row.month <= month && (!before || before->month < row.month)) before = &row;
    if (row.month > month && (!after || row.month < after->month)) after = &row;
  }
  if (before) return *before->currency_rate;
  return after ? *after->currency_rate : 1;
}

double mean_currency_rate(const Season& season, const std::string& currency) {
  if (currency.empty() || currency == season.currency) return 1;
  double sum = 0;
  int n = 0;
  for (const auto& row : season.prices)
    if (row.currency == currency && row.currency_rate) {
      sum += *row.currency_rate;
      ++n;
    }
  return n ? sum / n : 1;
}

void add_backups(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const HomeHarvest& home, bool fixed,
                 SupplyScenarios& out) {
  if (!fixed) home_means(home, out);
  const auto& reference = out.reference;
  for (std::size_t s = 0; s < out.scenarios.size(); ++s) {
    auto& scenario = out.scenarios[s];
    const int harvest_year = out.years[static_cast<std::size_t>(scenario.year)];
    const double standing = home_standing(home, reference, s);
    scenario.home_shortage = shortfall(home.qualifying_t[s], reference.mean_qualifying_t);
    for (std::size_t b = 0; b < season.backups.size(); ++b)
      scenario.backups.push_back({cap_factor(season, forecast, scenario, harvest_year, b, standing), 0});
  }
  if (!fixed) {
    out.reference.mean_cap_factor.assign(season.backups.size(), 0);
    for (const auto& scenario : out.scenarios)
      for (std::size_t b = 0; b < scenario.backups.size(); ++b)
        out.reference.mean_cap_factor[b] += scenario.weight * scenario.backups[b].cap_factor;
  }
  const double slope = season.parameters["shortage_price_slope"], cap = season.parameters["shortage_price_cap"];
  for (std::size_t b = 0; b < season.backups.size(); ++b) {
    const auto& row = season.backups[b];
    const bool lost = std::find(patch.backups_lost.begin(), patch.backups_lost.end(), row.source) != patch.backups_lost.end();
    const double rate = mean_currency_rate(season, row.currency);
    for (auto& scenario : out.scenarios) {
      auto& backup = scenario.backups[b];
      const double shortage = std::max(scenario.home_shortage, shortfall(backup.cap_factor, reference.mean_cap_factor[b]));
      const double rise = std::min(row.price_cap.value_or(cap), row.price_slope.value_or(slope) * 100 * shortage);
      backup.price_per_t = rate * row.price_per_t.value_or(0) + rise;
      if (lost) backup.cap_factor = 0;
    }
  }
}

}  // namespace rickyard
