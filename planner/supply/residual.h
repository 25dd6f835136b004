#pragma once
// What the weather model leaves unexplained: the residual covariance of regional yield and N, and draws from it.
#include <string>
#include <vector>

#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"

namespace rickyard {

/// Contracted regions in the order of their first row in the contracts table.
std::vector<std::string> contracted_regions(const Season& season);
/// [contract row] -> index in contracted_regions.
std::vector<int> region_of_contract(const Season& season);

/// The year-to-year law of one region pair (parameters of METHODS.md, "Residuals").
struct SpreadTarget {
  double yield_cv = 0, n_sigma_pct = 0, correlation = 0, yield_common = 0, n_common = 0;
  double floor_yield = 0, floor_n_pct = 0;
  double distance_km = 1;  // over which the common parts fall to 1/e
  double scale_yield = 1, scale_n = 1;
};
SpreadTarget spread_target(const Season& season);

/// Residual law of (yield factor of regions 0..R-1, N of regions 0..R-1).
struct ResidualModel {
  int regions = 0;
  bool from_weather = true;
  SpreadTarget target;
  std::vector<double> root;                   // [2R][2R], symmetric square root of the residual covariance; empty with formulas
  std::vector<double> model_sd, residual_sd;  // [2R]
  std::vector<std::string> warnings;          // regions where the model alone varies clearly more than the target
};

/// Great-circle distance in km on a sphere of 6,371.0088 km radius (haversine); positions in degrees.
double great_circle_km(double lon_a, double lat_a, double lon_b, double lat_b);

/// Target covariance (common parts fading with distance; 0 km where a region has no position) less the model's covariance over the
/// forecast's years and variants (equal weights, divisor variants x (years - 1)), eigenvalues below 0 set to 0, diagonal raised to the
/// floors, scaled, symmetric square root. With formulas nothing is subtracted.
ResidualModel residual_model(const Season& season, const HarvestForecast& forecast);

/// One residual draw of every region.
struct ResidualDraw {
  std::vector<double> yield_factor;  // [R], 1 + residual, not below 0
  std::vector<double> n_pct;         // [R], added to N
};

/// Fills `out` with draw `draw` of harvest year `year`; odd draws are minus the even draw before them.
void draw_residual(const ResidualModel& model, unsigned seed, int year, int draw, ResidualDraw& out);

/// All draws of one harvest year, as draw_residual gives them.
struct ResidualYear {
  std::vector<std::vector<double>> yield_factor, n_pct;  // [region][draw]
};
ResidualYear residual_year(const ResidualModel& model, unsigned seed, int year, int draws);

}  // namespace rickyard
