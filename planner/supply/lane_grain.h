#pragma once
// The closed forms of bands.h and thin_grain.h for one contract row in one weather year under many residual draws at once: draws side by
// side, land units outside, so that what belongs to a unit is reckoned once and every draw sums its units in their order.
// The scalar code defines the answer; this one differs from it by rounding, and is the same bits on every instruction set.
#include <array>
#include <span>
#include <vector>

#include "planner/quality/bands.h"
#include "planner/quality/farm_correlation.h"

namespace rickyard {

/// Draws are handled so many at a time: spans of draws hold a multiple of it.
inline constexpr std::size_t kLaneStep = 8;

/// One exponential of the joint law of a unit's grain, as a function of the standard bound z of N:
/// weight x exp(square z^2 + linear z), `square` that of FarmCorrelation; its pull (FarmCorrelation::Joint) is it x (by_z z + by_k).
struct LaneNode {
  double weight = 0, linear = 0, by_z = 0, by_k = 0;
};
/// Appends the FarmCorrelation::nodes of standard screenings bound k. All weights are 0 beyond FarmCorrelation::kFarthest.
void add_lane_nodes(const FarmCorrelation& farms, double k, std::vector<LaneNode>& nodes);

/// A land unit of a row in one year, before residual draws. Tonnes are for a yield factor of 1, per harvested hectare of the row.
struct UnitLane {
  double n_pct = 0;
  double t = 0;                           // all grain
  double sound_t = 0;                     // what passes germination and every other point
  double germination_t = 0, other_t = 0;  // what fails germination; what passes it and fails another point
  double fine = 1;                        // share that passes screenings
  bool joint = false;                     // N and screenings go together here
  double tilt = 0;                        // rho x the density of the screenings bound
};
struct UnitLanes {
  std::vector<UnitLane> units;
  std::vector<LaneNode> nodes;  // [unit][node]
};

/// [draw] tonnes per harvested hectare at a yield factor of 1, summed over units; band_n: tonnes x mean N.
struct BandSums {
  std::array<std::vector<double>, BandShares::kCount> band_t, band_n;
  std::vector<double> rejected_nitrogen_t, rejected_screenings_t, rejected_germination_t, rejected_other_t;
};

/// n_shift_pct: [draw], added to the N of every unit; its size is a multiple of kLaneStep. n_sigma > 0.
void sum_bands(const BandLimits& limits, const FarmCorrelation& farms, double n_sigma, const UnitLanes& lanes,
               std::span<const double> n_shift_pct, BandSums& out);
/// Only band_t of the bands that qualify (0 to 2): the same bits, for less work.
void sum_qualifying(const BandLimits& limits, const FarmCorrelation& farms, double n_sigma, const UnitLanes& lanes,
                    std::span<const double> n_shift_pct, BandSums& out);

/// A land unit of a row in one year, for the screenings of what is accepted of it.
struct ThinLane {
  double n_pct = 0;
  double sound_t = 0;         // as UnitLane
  double screenings_pct = 0;  // mean of all its grain
  // Shares of grain below the screenings bounds, in the order of ThinBound.
  std::array<double, 4> below{};
};
/// The standard screenings bounds of thin grain: the maximum, the share free of claim, both for grain weighed by its screenings.
enum ThinBound : std::size_t { kMost, kFree, kWeighedMost, kWeighedFree, kThinBounds };
struct ThinLanes {
  std::vector<ThinLane> units;
  std::vector<LaneNode> nodes;  // [unit][thin bound][node]
};

/// [draw] tonnes x per cent per harvested hectare at a yield factor of 1, summed over units.
struct ThinSums {
  std::array<std::vector<double>, BandShares::kCount> screenings, excess;
};

/// weighed_shift: rho x the spread of log-screenings, by which grain weighed by screenings stands higher in standard N.
void sum_screenings(const BandLimits& limits, const FarmCorrelation& farms, double n_sigma, double weighed_shift, double free_pct,
                    const ThinLanes& lanes, std::span<const double> n_shift_pct, ThinSums& out);

/// e^x to 2.3e-16 of its value for -708 <= x <= 708; 0 below. Sizes: a multiple of kLaneStep.
void exponentials(std::span<const double> x, std::span<double> out);
/// 1 - Phi(z) for z >= 0, to 5e-15 of its value where z <= 5 and to (z^2/2 + 10) x 5e-16 of it beyond; 0 from 37.7 on.
void normal_tails(std::span<const double> z, std::span<double> out);

}  // namespace rickyard
