#include "planner/supply/drawn_season.h"

#include <stdexcept>

namespace rickyard {

DrawnSeason::DrawnSeason(const Season& given, const SeasonPatch& patch, const HarvestForecast& grown, const ResidualModel& law)
    : season(given),
      forecast(grown),
      residual(law),
      grain(contract_grain(given, grown)),
      limits(band_limits(given, patch)),
      years{grown, static_cast<int>(given.parameters["supply_draws_per_year"])} {}

void DrawnSeason::each_row(int year, const Visit& visit) const {
  const int harvest_year = forecast.years[static_cast<std::size_t>(year)];
  const auto drawn = residual_year(residual, season.seed, harvest_year, years.draws_per_year);
  std::vector<std::vector<int>> draws_of(static_cast<std::size_t>(forecast.variants));
  for (int d = 0; d < years.draws_per_year; ++d)
    draws_of[static_cast<std::size_t>(variant_of(harvest_year, d, forecast.variants))].push_back(d);
  ContractDraws work(limits, season.parameters["screenings_free_pct"]);
  RowDraws row;
  for (std::size_t v = 0; v < draws_of.size(); ++v) {
    for (std::size_t c = 0; c < grain.size() && !draws_of[v].empty(); ++c) {
      const auto r = static_cast<std::size_t>(grain[c].region);
      row.yield_factor.clear();
      row.n_shift_pct.clear();
      for (int d : draws_of[v]) {
        row.yield_factor.push_back(drawn.yield_factor[r][static_cast<std::size_t>(d)]);
        row.n_shift_pct.push_back(drawn.n_pct[r][static_cast<std::size_t>(d)]);
      }
      visit(work, c, static_cast<int>(v), draws_of[v], row);
    }
  }
}

void check_forecast(const Season& season, const HarvestForecast& forecast) {
  if (forecast.contracts.size() != season.contracts.size())
    throw std::invalid_argument("the forecast must hold one entry for each contract row");
  if (forecast.years.empty() || forecast.weights.size() != forecast.years.size())
    throw std::invalid_argument("the forecast must hold weather years with weights");
  for (const auto& row : forecast.contracts)
    if (row.variants != forecast.variants || row.years() != forecast.years.size())
      throw std::invalid_argument("a contract row must hold the forecast's weather years and variants");
}

}  // namespace rickyard
