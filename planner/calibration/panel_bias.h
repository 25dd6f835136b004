#pragma once
// Biases of regions from a table of region x crop year: variance components, generalised least squares, and shrinkage of the
// regions towards their common bias and of that towards nothing. Pure arithmetic; METHODS.md, "Calibration", states every step.
#include <map>
#include <optional>
#include <vector>

namespace rickyard {

/// What was observed over what was modelled, for one region and crop year: a log ratio, or a difference.
struct Deviation {
  int region = 0;
  int crop_year = 0;
  double value = 0;
};

struct PanelSettings {
  int regions = 0;              // all contracted ones, also those without deliveries
  double common_prior = 0.08;   // spread of the common bias before any delivery was seen
  double between_prior = 0.04;  // spread of a region's own bias before any delivery was seen
  double default_year_var = 0;  // what a season does to all regions together, and to each alone, before any delivery was seen
  double default_rest_var = 0;
  double default_weight = 5;             // degrees of freedom that the defaults count as
  std::map<int, double> year_noise_var;  // known extra variance of a crop year, shared by its regions
  bool find_trend = false;
};

struct PanelBias {
  struct Region {
    int seasons = 0;
    double own = 0, own_se = 0;  // from its own deliveries; meaningless without seasons
    double bias = 0, se = 0;     // after shrinkage
    double moved_by = 0;         // share of the data in `bias`; the rest is the user's figure
  };
  std::vector<Region> regions;
  double common = 0, common_se = 0, common_moved_by = 0;
  int seasons = 0;  // crop years with any deviation
  double between_var = 0, data_between_var = 0;
  // What is left, shared by the regions of a season and not: used (with the defaults) and as the data alone say.
  double year_var = 0, rest_var = 0, data_year_var = 0, data_rest_var = 0;
  double year_df = 0, rest_df = 0;
  double slope = 0, slope_se = 0;  // per year; 0 and 0 where it could not be sought
  bool slope_used = false;         // then the biases are those of the last season
};

inline constexpr int kFewSeasons = 5, kTrendSeasons = 8;

/// deviations: any order, one for each region and crop year at most; without any all is 0.
PanelBias panel_bias(const std::vector<Deviation>& deviations, const PanelSettings& settings);

/// Method-of-moments variance between true values behind estimates with a precision matrix (row-major [n][n]): DerSimonian & Laird
/// (1986) where it is diagonal. `se`: its standard error where there is no variance. Not below 0; 0 and 0 for fewer than two.
struct BetweenVariance {
  double value = 0, se = 0;
};
BetweenVariance between_variance(const std::vector<double>& estimates, const std::vector<double>& precision);

}  // namespace rickyard
