#include "planner/supply/supply_reference.h"

#include <atomic>

#include "planner/base/blocks.h"
#include "planner/supply/drawn_season.h"

namespace rickyard {

SupplyReference reference_of(const ResidualModel& residual) {
  SupplyReference reference;
  reference.regions = residual.regions;
  reference.root = residual.root;
  reference.model_sd = residual.model_sd;
  reference.residual_sd = residual.residual_sd;
  reference.warnings = residual.warnings;
  return reference;
}

SupplyReference supply_reference(const Season& season, const HarvestForecast& forecast, int threads, Progress* progress) {
  check_forecast(season, forecast);
  const ResidualModel residual = residual_model(season, forecast);
  const DrawnSeason drawn(season, {}, forecast, residual);
  HomeHarvest home{std::vector<double>(drawn.years.scenarios(), 0), std::vector<double>(drawn.years.scenarios(), 0)};
  const auto years = static_cast<int>(forecast.years.size());
  std::atomic<int> done{0};
  for_each_block(years, threads, [&](int y) {
    std::vector<double> offered_t, qualifying_t;
    drawn.each_row(y, [&](ContractDraws& work, std::size_t c, int variant, const std::vector<int>& at, const RowDraws& draws) {
      offered_t.resize(draws.size());
      qualifying_t.resize(draws.size());
      work.totals(drawn.grain[c], y, variant, draws, offered_t, qualifying_t);
      for (std::size_t i = 0; i < at.size(); ++i) {
        const std::size_t s = drawn.years.scenario(y, at[i]);
        home.offered_t[s] += offered_t[i];
        home.qualifying_t[s] += qualifying_t[i];
      }
    });
    if (progress) progress->step(++done, years);
  });
  SupplyReference reference = reference_of(residual);
  measure(season, drawn.years, home, reference);
  return reference;
}

}  // namespace rickyard
