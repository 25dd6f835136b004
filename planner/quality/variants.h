#pragma once
// Several draws of daily rain over the same years: their records pooled for the anchors, their forecasts put together.
#include <vector>

#include "planner/quality/forecast_harvest.h"
#include "planner/quality/harvest_forecast.h"

namespace rickyard {

/// One forecast of V variants (variant slowest) from V forecasts of one: years, weights, rows, units, shares and anchors are those of
/// the first; losses, dates (of the variants that reached them) and rain are means over the variants.
/// std::invalid_argument where there is none, one has variants of its own, or years, rows, units or backups differ.
HarvestForecast merge_variants(const std::vector<HarvestForecast>& forecasts);

/// The years of all records one after the other, variant slowest: what compute_anchors takes, so that the mean over years and
/// variants is the user's own figure. std::invalid_argument where runs or years differ.
CropRecords pooled_records(const std::vector<const CropRecords*>& records);

/// Gives every base, also a single one, the anchors of all of them pooled, for the figures that `season` holds now: a calibrated season
/// moves them without growing again. std::invalid_argument as pooled_records.
void share_anchors(const Season& season, const Land& land, std::vector<BaseHarvest>& bases);

/// [contract] plain means of the variants' harvest factors (usual_harvest.h), rounded to 0.01: every variant grows by the same ones.
std::vector<double> mean_harvest_factors(const std::vector<std::vector<double>>& factors);

}  // namespace rickyard
