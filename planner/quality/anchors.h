#pragma once
// Constants that tie each contract row to the user's own figures, computed once from the unmodified archive.
#include <optional>

#include "planner/crop/crop_record.h"
#include "planner/quality/contract_terms.h"
#include "planner/quality/crop_runs.h"
#include "planner/quality/grain_model.h"
#include "planner/quality/harvest_forecast.h"

namespace rickyard {

struct RowAnchor {
  Anchor shift;  // what the manifest lists
  RowMeans means;
  double held_failure = 0;  // share of harvest failure that counts as usual: germination_held_points as a fraction
  double passed_other = 1;  // tonnes-weighted mean share that passes screenings and germination
};

struct Anchors {
  std::vector<ContractTerms> terms;  // [contract]
  std::vector<RowAnchor> rows;       // [contract]
  std::vector<double> backup_yield;  // [backup] mean relative yield; 0 where a backup has no region
};

/// base: records of the runs without a patch; requests: run_requests without a patch. Every year counts the same, but for
/// `without_year`, which a hindcast leaves out (METHODS.md, "Anchors"). InputError where a row's crop comes to harvest in no year.
Anchors compute_anchors(const Season& season, const Land& land, const CropRecords& base, const std::vector<CropRun>& requests,
                        std::optional<int> without_year = std::nullopt);

/// Other failures of a row: 1 - (1 - typical) / passed_other, within 0..1.
double other_failure(double typical_failure, double passed_other);

/// Rows whose mean failure lies above their typical one, in words: their typical screenings and failure do not go together.
std::vector<std::string> anchor_warnings(const Season& season, const Anchors& anchors);

/// Grain of one unit and year after anchoring, variety and the direct patches.
UnitHarvest anchored_grain(const QualitySettings& settings, const ContractTerms& terms, const RowAnchor& anchor, const CropRecord& record,
                           const SeasonPatch& patch);

}  // namespace rickyard
