#pragma once
// A season's rows under all residual draws: what a plan's scenarios and the reference of past seasons both begin with.
#include <functional>

#include "planner/base/progress.h"
#include "planner/supply/backups.h"
#include "planner/supply/contract_draws.h"
#include "planner/supply/residual.h"

namespace rickyard {

/// Everything that no draw changes.
struct DrawnSeason {
  const Season& season;
  const HarvestForecast& forecast;
  const ResidualModel& residual;
  std::vector<ContractGrain> grain;  // [contract]
  BandLimits limits;
  DrawnYears years;

  DrawnSeason(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const ResidualModel& residual);

  /// One contract row in one year under its draws of one variant: `at` are the draws' numbers, ascending.
  using Visit = std::function<void(ContractDraws& work, std::size_t c, int variant, const std::vector<int>& at, const RowDraws& draws)>;
  /// Calls visit for every variant and contract row of the year, contracts in their order inside a variant.
  void each_row(int year, const Visit& visit) const;
};

/// Every contract row needs a forecast in the same order and weather years with weights (std::invalid_argument otherwise).
void check_forecast(const Season& season, const HarvestForecast& forecast);

}  // namespace rickyard
