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

double weighted_sum(const std::vector<double>& values, const DrawnYears& drawn) {
  double sum = 0;
  for (std::size_t s = 0; s < values.size(); ++s) sum += drawn.weight(s) * values[s];
  return sum;
}

// Standardised home yield factor of a scenario; 0 where it never varies.
double home_standing(const HomeHarvest& home, const SupplyReference& reference, std::size_t s) {
  if (!(reference.mean_offered_t > 0) || !(reference.sd_offered > 1e-12)) return 0;
  return (home.offered_t[s] / reference.mean_offered_t - 1) / reference.sd_offered;
}

// [scenario] cap factors of backup b.
std::vector<double> cap_factors(const Season& season, const DrawnYears& drawn, const HomeHarvest& home, const SupplyReference& reference,
                                std::size_t b) {
  const auto& row = season.backups[b];
  const auto& forecast = drawn.forecast;
  const auto draws = static_cast<std::size_t>(drawn.draws_per_year);
  const std::vector<double> grown = b < forecast.backup_yield_factor.size() ? forecast.backup_yield_factor[b] : std::vector<double>{};
  const double link = link_of(season, row), cv = row.cap_cv.value_or(season.parameters["backup_cap_cv"]);
  const double rest = std::sqrt(std::max(1 - link * link, 0.0));
  std::vector<double> out(drawn.scenarios());
  double own = 0;
  for (std::size_t s = 0; s < out.size(); ++s) {
    const std::size_t year = s / draws, draw = s % draws;
    const int harvest_year = forecast.years[year];
    if (!grown.empty()) {
      const auto variant = static_cast<std::size_t>(variant_of(harvest_year, static_cast<int>(draw), forecast.variants));
      out[s] = std::max(grown[variant * forecast.years.size() + year], 0.0);
      continue;
    }
    if (draw % 2 == 0)
      own = normal_draw(season.seed, DrawPurpose::backup_link,
                        {static_cast<std::uint32_t>(harvest_year), static_cast<std::uint32_t>(draw / 2), static_cast<std::uint32_t>(b), 0});
    const double sign = draw % 2 == 0 ? 1 : -1;
    out[s] = std::max(1 + cv * (link * home_standing(home, reference, s) + rest * (sign * own)), 0.0);
  }
  return out;
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

void measure(const Season& season, const DrawnYears& drawn, const HomeHarvest& home, SupplyReference& reference) {
  reference.mean_offered_t = weighted_sum(home.offered_t, drawn);
  reference.mean_qualifying_t = weighted_sum(home.qualifying_t, drawn);
  double square = 0;
  if (reference.mean_offered_t > 0)
    for (std::size_t s = 0; s < home.offered_t.size(); ++s) {
      const double d = home.offered_t[s] / reference.mean_offered_t - 1;
      square += drawn.weight(s) * d * d;
    }
  reference.sd_offered = std::sqrt(square);
  reference.mean_cap_factor.clear();
  for (std::size_t b = 0; b < season.backups.size(); ++b)
    reference.mean_cap_factor.push_back(weighted_sum(cap_factors(season, drawn, home, reference, b), drawn));
}

void add_backups(const Season& season, const SeasonPatch& patch, const DrawnYears& drawn, const HomeHarvest& home, SupplyScenarios& out) {
  const auto& reference = out.reference;
  for (std::size_t s = 0; s < out.scenarios.size(); ++s) {
    out.scenarios[s].home_shortage = shortfall(home.qualifying_t[s], reference.mean_qualifying_t);
    out.scenarios[s].backups.resize(season.backups.size());
  }
  const double slope = season.parameters["shortage_price_slope"], cap = season.parameters["shortage_price_cap"];
  for (std::size_t b = 0; b < season.backups.size(); ++b) {
    const auto& row = season.backups[b];
    const bool lost = std::find(patch.backups_lost.begin(), patch.backups_lost.end(), row.source) != patch.backups_lost.end();
    const double rate = mean_currency_rate(season, row.currency);
    const auto caps = cap_factors(season, drawn, home, reference, b);
    for (std::size_t s = 0; s < out.scenarios.size(); ++s) {
      auto& scenario = out.scenarios[s];
      const double shortage = std::max(scenario.home_shortage, shortfall(caps[s], reference.mean_cap_factor[b]));
      const double rise = std::min(row.price_cap.value_or(cap), row.price_slope.value_or(slope) * 100 * shortage);
      scenario.backups[b] = {lost ? 0 : caps[s], rate * row.price_per_t.value_or(0) + rise};
    }
  }
}

}  // namespace rickyard
