#pragma once
// What a contract row says about its grain, in the model's terms: defaults filled, bases turned.
#include "planner/crop/crop_record.h"
#include "planner/quality/quality_settings.h"
#include "planner/season/land.h"
#include "planner/season/season.h"

namespace rickyard {

struct ContractTerms {
  double yield_t_ha = 0;      // whole field, before the case's factor
  double n_pct = 0;           // mean of all grain
  double screenings_pct = 0;  // median of an average year
  double other_failure = 0;   // fraction failing on any point but N in an average year
  double n_added_pct = 0;     // N rate against the reference, and the variety's offset on a default N: added after anchoring
  double planted_ha = 0;      // weight of the row in means over rows
};

/// Needs yield_t_ha; a missing one, a headland share outside 0..1 or an accepted mean at or above its limit is an InputError.
ContractTerms contract_terms(const Season& season, const QualitySettings& settings, const ContractRow& row);

/// The planned date, waiting days and variety's thermal factor of a row under a patch (units left empty). Without sow_planned:
/// sowing_flat_days after the season's first day. Without sow_latest: the parameter sow_wait_days.
CropRun contract_run(const Season& season, const ContractRow& row, const SeasonPatch& patch);
/// The same for a region that no contract row names (a simulated backup).
CropRun default_run(const Season& season, const SeasonPatch& patch);

/// The region of this id; InputError naming `place` where the land has none or no hectares in it.
const Region& region_of(const Land& land, const std::string& id, const std::string& place);

}  // namespace rickyard
