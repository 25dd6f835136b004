#pragma once
// Grain of one land unit split by nitrogen band and by the first cause of rejection, in closed form.
// Between farms N is normal and screenings log-normal, correlated; germination and other failures strike alike.
// Called many millions of times: inline, no allocation.
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "planner/quality/farm_correlation.h"
#include "planner/season/season.h"

namespace rickyard {

/// Bounds of the bands in % N, ascending: floor..split..limit..stop..limit_max. floor may be -infinity.
struct BandLimits {
  double floor = -std::numeric_limits<double>::infinity();
  double split = 1.50, limit = 1.65, stop = 1.65, limit_max = 1.65;
  double ln_screenings_max = 2.302585092994046;  // ln 10 %
};

/// Limits in force: those of the patch, else of the season, else 1.65, stop = limit, no floor, screenings 10 %. A patch that
/// moves the limit alone keeps the season's claim width (stop - limit).
/// limit_max is above stop only with the policy after_harvest. Every bound is raised to the one before it where needed.
inline BandLimits band_limits(const Season& season, const SeasonPatch& patch) {
  BandLimits limits;
  const auto& spec = season.spec;
  limits.floor = patch.floor_n_pct ? *patch.floor_n_pct : spec.floor_n_pct.value_or(-std::numeric_limits<double>::infinity());
  const double season_limit = spec.limit_n_pct.value_or(1.65);
  const double claim_width = std::max(spec.stop_n_pct.value_or(season_limit) - season_limit, 0.0);
  limits.limit = patch.limit_n_pct.value_or(season_limit);
  limits.stop = std::max(patch.stop_n_pct.value_or(limits.limit + claim_width), limits.limit);
  limits.limit_max =
      spec.limit_policy == LimitPolicy::after_harvest ? std::max(spec.limit_max.value_or(limits.stop), limits.stop) : limits.stop;
  limits.ln_screenings_max = std::log(spec.screenings_max_pct.value_or(10));
  return limits;
}

/// Grain of one unit: mean N and its spread between farms, log of median screenings and its spread, failures as fractions.
struct BandGrain {
  double n_pct = 0, n_sigma = 0.13;
  double ln_screenings = 0, screenings_sigma = 0.35;
  double germination_failure = 0, other_failure = 0;
};

/// Shares of all grain; they satisfy qualifying + the four rejected = 1.
struct BandShares {
  static constexpr int kCount = 4;
  std::array<double, kCount>
      share{};  // grain in the band that passes every other point; the last (stop..limit_max) is not part of qualifying
  std::array<double, kCount>
      n_pct{};                  // mean N of the band; its middle where it holds nothing (its finite bound where the other is infinite)
  double qualifying = 0;        // floor..stop, every other point met
  double with_claim = 0;        // part of it above the limit
  double n_qualifying_pct = 0;  // mean N of what qualifies; NaN where nothing does
  double rejected_nitrogen = 0, rejected_screenings = 0, rejected_germination = 0, rejected_other = 0;  // by first cause, in this order
};

namespace bands {

inline constexpr double kSqrtHalf = 1 / std::numbers::sqrt2;

inline double density(double z) { return 0.3989422804014327 * std::exp(-0.5 * z * z); }
inline double below(double z) { return 0.5 * std::erfc(-z * kSqrtHalf); }

/// One bound in standard units: the smaller tail, on which side it lies, and the density.
struct Bound {
  double z = 0;
  double tail = 0;     // Phi(z) where z <= 0, else 1 - Phi(z)
  bool upper = false;  // z > 0
  double density = 0;  // phi(z)
};

inline Bound bound_at(double x, double mean, double sigma) {
  const double z = (x - mean) / sigma;
  return {z, 0.5 * std::erfc(std::abs(z) * kSqrtHalf), z > 0, density(z)};
}

/// Probability between two bounds, from whichever tails keep their digits.
inline double mass_between(const Bound& low, const Bound& high) {
  if (low.upper) return std::max(low.tail - high.tail, 0.0);
  if (!high.upper) return std::max(high.tail - low.tail, 0.0);
  return 1 - low.tail - high.tail;
}

inline double middle(double low, double high) {
  if (std::isinf(low)) return high;
  return 0.5 * (low + high);
}

/// Passing grain of this share or less has no mean of its own: the digits are gone.
inline constexpr double kLeastJoint = 1e-9;

}  // namespace bands

/// Screenings above the maximum, as a share: 1 - Phi((ln max - ln median) / sigma).
inline double screenings_failure(double ln_median, double sigma, double ln_max) {
  return 0.5 * std::erfc((ln_max - ln_median) / sigma / std::numbers::sqrt2);
}

/// The five bounds of the four bands, ascending.
inline std::array<double, BandShares::kCount + 1> band_bounds(const BandLimits& limits) {
  const double least = std::min(limits.floor, limits.limit);
  return {least, std::clamp(limits.split, least, limits.limit), limits.limit, limits.stop, limits.limit_max};
}

/// Shares and means by band. n_sigma and screenings_sigma > 0; failures in 0..1.
inline BandShares band_shares(const BandLimits& limits, const BandGrain& grain, const FarmCorrelation& farms = {}) {
  const auto x = band_bounds(limits);
  const double fails_screenings = screenings_failure(grain.ln_screenings, grain.screenings_sigma, limits.ln_screenings_max);
  const double fine = 1 - fails_screenings, sound = (1 - grain.germination_failure) * (1 - grain.other_failure);
  const double k = (limits.ln_screenings_max - grain.ln_screenings) / grain.screenings_sigma;
  const bool joint = farms.rho != 0 && std::abs(k) < FarmCorrelation::kFarthest;
  const double tilt = joint ? farms.rho * bands::density(k) : 0;
  BandShares out;
  bands::Bound low = bands::bound_at(x[0], grain.n_pct, grain.n_sigma);
  auto joint_low = joint ? farms.joint(low.z, k) : FarmCorrelation::Joint{};
  double in_spec = 0, in_spec_fine = 0, in_spec_n = 0;  // N fits; screenings too; sum of N over the latter
  for (std::size_t b = 0; b < BandShares::kCount; ++b) {
    if (!(x[b + 1] > x[b])) {
      out.n_pct[b] = bands::middle(x[b], x[b + 1]);
      continue;
    }
    const bands::Bound high = bands::bound_at(x[b + 1], grain.n_pct, grain.n_sigma);
    const double mass = bands::mass_between(low, high);
    double passing = mass * fine;
    double weight = mass, rise = low.density - high.density;  // the band's mean is rise / weight sigma off the unit's
    if (joint) {
      const auto joint_high = farms.joint(high.z, k);
      passing = std::clamp(passing + (joint_high.excess - joint_low.excess), 0.0, mass);
      if (passing > bands::kLeastJoint) {
        weight = passing;
        rise = rise * fine - tilt * mass + (joint_low.pull - joint_high.pull);
      }
      joint_low = joint_high;
    }
    out.share[b] = passing * sound;
    out.n_pct[b] =
        weight > 1e-300 ? std::clamp(grain.n_pct + grain.n_sigma * rise / weight, x[b], x[b + 1]) : bands::middle(x[b], x[b + 1]);
    if (b < 3) {
      in_spec += mass;
      in_spec_fine += passing;
      in_spec_n += passing * out.n_pct[b];
    }
    low = high;
  }
  out.with_claim = out.share[2];
  out.qualifying = in_spec_fine * sound;
  out.n_qualifying_pct = out.qualifying > 0 ? in_spec_n / in_spec_fine : std::numeric_limits<double>::quiet_NaN();
  out.rejected_nitrogen = 1 - in_spec;
  out.rejected_screenings = in_spec - in_spec_fine;
  out.rejected_germination = in_spec_fine * grain.germination_failure;
  out.rejected_other = in_spec_fine * (1 - grain.germination_failure) * grain.other_failure;
  return out;
}

}  // namespace rickyard
