#pragma once
// A season of 24 regions, 10 backups, 12 months and 2 lines whose yields, nitrogen, prices and capacities differ by scenario, for timing
// the programme. Everything is drawn from fixed seeds.
#include <memory>

#include "planner/sourcing/programme.h"

namespace rickyard::bench {

struct SourcingCase {
  /// `bands`: N bands a region's grain falls into, 1 to 3. Contracts are open: hectares are first-stage decisions.
  SourcingCase(int scenarios, int bands);

  Season season;
  SupplyScenarios supply;
  HarvestForecast forecast;
  Need need;

  /// The programme as it stands now: after an edit of `season` that is what `contract` would build again.
  Programme programme() const;
};

}  // namespace rickyard::bench
