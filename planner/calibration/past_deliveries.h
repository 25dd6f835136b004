#pragma once
// The history table by region and crop year: growers averaged with their tonnes, moisture and varieties brought to one level.
#include <optional>
#include <string>
#include <vector>

#include "planner/calibration/modelled_regions.h"
#include "planner/season/season.h"

namespace rickyard {

/// Grain whose nitrogen was recorded on one basis under one limit.
struct NitrogenBook {
  NitrogenBasis basis = NitrogenBasis::all_grain;
  std::optional<double> limit_n_pct;
  double n_pct = 0;   // mean by tonnes: of what was accepted, or of all
  double tonnes = 0;  // delivered, at 14.5 % moisture; the weight of the book in the region's mean
  // Growers behind it (empty where the region has one row): their N and the tonnes it was measured on.
  std::vector<double> grower_n_pct, grower_t;
};

struct RegionSeason {
  int region = 0;  // index into ModelledRegions::regions
  int crop_year = 0;
  std::optional<double> yield_t_ha;        // on harvested hectares, 14.5 % moisture, at the level of the contract rows' varieties
  std::vector<NitrogenBook> books;         // N at that level too
  std::optional<double> qualifying_share;  // qualifying / delivered, where one book says all
};

struct PastDeliveries {
  std::vector<RegionSeason> seasons;  // by region, then crop year
  std::vector<std::string> left_out;  // sentences
};

/// Rows of contracted regions from crop years before the season's, `without_year` left out. A region's own row goes before its growers.
PastDeliveries past_deliveries(const Season& season, const ModelledRegions& modelled, std::optional<int> without_year);

/// Mean N of all grain behind a book: an accepted mean is turned back with `sigma`, the limit in force and the specification's floor;
/// at most one sigma above the limit, where the accepted mean no longer tells. Empty without a limit or with a mean at or above it.
std::optional<double> all_grain_n(const NitrogenBook& book, double sigma, double floor_n_pct);

/// N of all grain of a region and season, books averaged by tonnes; empty where none tells.
std::optional<double> all_grain_n(const RegionSeason& season, double sigma, double floor_n_pct);

}  // namespace rickyard
