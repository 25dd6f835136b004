#include "planner/supply/unit_bands.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "planner/base/normal.h"

namespace rickyard {

UnitBands unit_bands(double n_pct, double sigma, const UnitHarvest& unit, const GrainLimits& limits) {
  UnitBands out;
  const double infinity = std::numeric_limits<double>::infinity();
  const double edge = std::max(std::min(kBandEdgeN, limits.limit), limits.floor);
  const std::array<double, kBands + 1> edges{limits.floor, edge, limits.limit, limits.stop, limits.last};
  std::array<double, kBands + 1> cdf{};
  for (std::size_t i = 0; i <= kBands; ++i) cdf[i] = edges[i] == -infinity ? 0 : normal_cdf((edges[i] - n_pct) / sigma);
  const double sound = (1 - unit.germination_failure) * (1 - unit.other_failure);
  const double inside = cdf[3] - cdf[0];
  for (std::size_t b = 0; b < kBands; ++b) {
    const double share = std::max(cdf[b + 1] - cdf[b], 0.0);
    out.share[b] = share * sound;
    out.n_pct[b] = share > 0 ? truncated_normal_mean(n_pct, sigma, edges[b], edges[b + 1]) : 0;
  }
  out.rejected_nitrogen = 1 - inside;
  out.rejected_germination = inside * unit.germination_failure;
  out.rejected_other = inside * (1 - unit.germination_failure) * unit.other_failure;
  return out;
}

}  // namespace rickyard
