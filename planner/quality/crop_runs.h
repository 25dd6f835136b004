#pragma once
// Which crop runs a season asks for: one for each region and distinct planned date, wait, thermal factor and part of drilling of its
// contract rows and backups.
#include "planner/crop/crop_record.h"
#include "planner/season/land.h"
#include "planner/season/season.h"

namespace rickyard {

/// What each contract row asks of the crop model, units left empty: [contract], as contract_run (contract_terms.h), its thermal
/// factor multiplied by the row's harvest factor. harvest_factors: [contract], see usual_harvest.h.
std::vector<CropRun> run_requests(const Season& season, const SeasonPatch& patch, const std::vector<double>& harvest_factors);

/// The parts a request is drilled in: the parameter drilling_parts of them, sown on the workable day of drilling that is the middle of
/// the part; one part where the sowing date is known.
std::vector<CropRun> drilled_parts(const Season& season, const CropRun& request);

/// A run for each request, part and region, on the region's land units, whatever else is asked for: so that what is kept of one row does
/// not depend on another. In order of first use (contracts, then backups with a region; parts inside). InputError where a region has no
/// land.
std::vector<CropRun> crop_runs(const Season& season, const Land& land, const std::vector<CropRun>& requests, const SeasonPatch& patch);

/// One row's land units inside the runs of its drilled parts: one entry for each part and unit, parts outside, units ascending inside.
struct RowUnits {
  int parts = 1;
  std::vector<int> runs, units, places;  // run of the part; land unit; its place in runs[run].units
  std::vector<double> share;             // of the region's hectares, sum 1
  std::size_t units_per_part() const { return units.size() / static_cast<std::size_t>(parts); }
};

/// Where a request (planned or known date, wait, factor) of a region sits among `runs`.
RowUnits row_units(const Season& season, const std::vector<CropRun>& runs, const CropRun& request, const Region& region);

}  // namespace rickyard
