#pragma once
// One grower's own record: what the region's forecast and the grower's other seasons said would come, against what was delivered.
#include <map>
#include <vector>

#include "planner/hindcast/observed_seasons.h"
#include "planner/season/season.h"

namespace rickyard {

/// How a farm's yield stands to its region's, in logarithms.
struct FarmLaw {
  double variance = 0;     // beyond the region's own
  double level_share = 0;  // of it that comes back every year
};
/// max(farm_yield_cv^2 - yield_cv^2, 0) and farm_yield_level_share.
FarmLaw farm_law(const Season& season);

/// Of a farm's yield over its region's in a season to come: a log-normal factor exp(mean_ln + sd_ln z).
struct FarmFactor {
  double mean_ln = 0, sd_ln = 0;
};
/// deviations: ln of farm yield over region yield in other seasons. None: a farm like any other, whose factor has mean 1.
FarmFactor farm_factor(const FarmLaw& law, const std::vector<double>& deviations);

/// ln of the grower's yield over its region's by crop year, both at the level of the contract rows' varieties. region_yield: t/ha of
/// level hectares by crop year; years without one are left out.
std::map<int, double> farm_deviations(const ObservedGrower& grower, const std::map<int, double>& region_yield);

/// Members of the grower's delivered tonnes: the region's members for one level hectare times the grower's level hectares times the
/// factor with a normal of its own. year_of: [member] weather year; draws a year in a row. place: of the grower's draws.
std::vector<double> grower_members(const std::vector<double>& region_t_per_ha, const std::vector<int>& weather_years, int draws,
                                   double level_ha, const FarmFactor& factor, unsigned seed, unsigned place);

}  // namespace rickyard
