#include "planner/quality/thin_grain.h"

namespace rickyard {
namespace {

// P(low < N <= high and log-screenings <= k), all in standard units.
double share_between(const FarmCorrelation& farms, double low, double high, double k) {
  const double mass = bands::mass_between(bands::bound_at(low, 0, 1), bands::bound_at(high, 0, 1));
  return mass * bands::below(k) + (farms.joint_excess(high, k) - farms.joint_excess(low, k));
}

}  // namespace

ThinGrain thin_grain(const BandLimits& limits, const BandGrain& grain, const FarmCorrelation& farms, double free_pct) {
  const auto x = band_bounds(limits);
  const double s = grain.screenings_sigma, mean = std::exp(grain.ln_screenings + 0.5 * s * s);
  const double k_max = (limits.ln_screenings_max - grain.ln_screenings) / s, ln_free = std::log(free_pct);
  const double k_free = (std::min(ln_free, limits.ln_screenings_max) - grain.ln_screenings) / s;
  ThinGrain out;
  for (std::size_t b = 0; b < BandShares::kCount; ++b) {
    if (!(x[b + 1] > x[b])) continue;
    const double low = (x[b] - grain.n_pct) / grain.n_sigma, high = (x[b + 1] - grain.n_pct) / grain.n_sigma;
    // Weighed by screenings, the same normal law stands s higher in log-screenings and rho s higher in N.
    const auto weighed = [&](double k) { return mean * share_between(farms, low - farms.rho * s, high - farms.rho * s, k - s); };
    const double all = weighed(k_max);
    out.screenings_pct[b] = std::max(all, 0.0);
    const double over = share_between(farms, low, high, k_max) - share_between(farms, low, high, k_free);
    out.excess_pct[b] = std::max(all - weighed(k_free) - free_pct * over, 0.0);
  }
  return out;
}

}  // namespace rickyard
