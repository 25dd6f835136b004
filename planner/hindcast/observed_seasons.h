#pragma once
// What past seasons really delivered, by region and by grower, with the area, the limit and the sowing date of the time.
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "planner/calibration/past_deliveries.h"

namespace rickyard {

/// One region (or grower) in one season. Tonnes at 14.5 % moisture.
struct ObservedSeason {
  double planted_ha = 0;
  double level_ha = 0;      // planted hectares times what its varieties yield over those of the contract rows
  double n_offset_pct = 0;  // N of its varieties over those of the contract rows
  double delivered_t = 0;   // accepted or not
  std::optional<double> qualifying_t, limit_n_pct;
  std::optional<Date> sown;
  RegionSeason nitrogen;  // its N books, for all_grain_n (past_deliveries.h)
};

struct ObservedGrower {
  std::string grower;
  int region = 0;
  std::map<int, ObservedSeason> seasons;  // by crop year
};

struct ObservedSeasons {
  std::vector<std::map<int, ObservedSeason>> regions;  // [region as in ModelledRegions], by crop year
  std::vector<ObservedGrower> growers;                 // in the order of their first row
  std::vector<std::string> left_out;                   // sentences
  bool any() const;
};

/// History rows of contracted regions with planted_ha and delivered_t, of crop years before the season's. A region's own row goes before
/// its growers, which are added up; their limit counts where they all name the same one, their qualifying tonnes where all have them.
ObservedSeasons observed_seasons(const Season& season, const ModelledRegions& modelled);

}  // namespace rickyard
