#pragma once
// Which crop runs a season asks for: one for each distinct planned date, wait and thermal factor of its contract rows and backups.
#include "planner/crop/crop_record.h"
#include "planner/season/land.h"
#include "planner/season/season.h"

namespace rickyard {

/// What each contract row asks of the crop model, units left empty: [contract], as contract_run (contract_terms.h), its thermal
/// factor multiplied by the row's harvest factor. harvest_factors: [contract], see usual_harvest.h.
std::vector<CropRun> run_requests(const Season& season, const SeasonPatch& patch, const std::vector<double>& harvest_factors);

/// Runs with the union of the land units of all rows that share a request; in order of first use (contracts, then backups
/// with a region). InputError where a region has no land.
std::vector<CropRun> crop_runs(const Season& season, const Land& land, const std::vector<CropRun>& requests, const SeasonPatch& patch);

/// One row's units inside a run: places in the run's units and shares of the region's hectares (sum 1).
struct RowUnits {
  int run = 0;
  std::vector<int> units, places;  // land units ascending; their places in runs[run].units
  std::vector<double> share;
};

/// Where a request (planned, wait, factor) of a region sits among `runs`.
RowUnits row_units(const std::vector<CropRun>& runs, const CropRun& request, const Region& region);

}  // namespace rickyard
