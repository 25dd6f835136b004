#pragma once
// The gap that own grain leaves, covered in the lots that can really be bought: each source alone, and pairs. METHODS.md, "Decision".
#include <string>
#include <vector>

#include "planner/decision/own_grain.h"

namespace rickyard {

/// One way to cover a gap. Tonnes at 14.5 %.
struct LotChoice {
  std::vector<int> backups;  // one or two, in the order in which they are taken
  std::vector<double> t;     // of each
  double short_t = 0, over_t = 0;
  double grain_cost = 0;   // grain and freight
  double resale = 0;       // what feed pays for the tonnes over
  double short_cost = 0;   // tonnes short at unmet_price
  double cost = 0;         // grain_cost - resale + short_cost
  bool dominated = false;  // another choice is short of no more and costs no more without short_cost, and is better in one of them
};

struct LotGap {
  std::string years;  // "average", or "1 in 10 dry"
  double qualifying_t = 0, committed_t = 0, gap_t = 0;
  std::vector<LotChoice> choices;  // single sources in table order, then pairs; empty without a gap
};

/// Own qualifying grain of the average year at listed caps and prices; of the year that 1 in 10 lies below at the mean caps and prices
/// of the scenarios at or below it. `season` and `supply` at the amounts to cover.
std::vector<LotGap> compare_lots(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const Need& need,
                                 const SupplyScenarios& supply);

}  // namespace rickyard
