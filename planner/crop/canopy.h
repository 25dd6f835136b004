#pragma once
// Leaves and roots by thermal time: light interception, basal crop coefficient, ground cover, root depth.
#include <algorithm>
#include <cmath>

#include "planner/crop/crop_settings.h"

namespace rickyard {

/// Share of full cover, 0..1: straight lines from emergence to full cover, flat, then down from decline to ripeness.
inline double cover_share(const StageSettings& stages, const LightSettings& light, double thermal_cd) {
  const double rise = (thermal_cd - stages.emergence_cd) / (light.full_cover_cd - stages.emergence_cd);
  const double fall = (stages.ripeness_cd - thermal_cd) / (stages.ripeness_cd - light.decline_cd);
  return std::clamp(std::min(rise, fall), 0.0, 1.0);
}

/// Fraction of light intercepted (Monsi & Saeki): 1 - exp(-k x leaf area), leaf area = full leaf area x share.
inline double light_intercepted(const LightSettings& light, double share) {
  return 1 - std::exp(-light.extinction * light.leaf_area_full * share);
}

/// Basal crop coefficient between emergence and ripeness: initial to mid with growing cover, mid to end with its decline.
inline double basal_coefficient(const WaterSettings& water, const LightSettings& light, double thermal_cd, double share) {
  const double from = thermal_cd < light.decline_cd ? water.kcb_initial : water.kcb_end;
  return from + (water.kcb_mid - from) * share;
}

/// FAO-56 eq. 76, share of the ground covered by plants, 0..0.99.
inline double covered_frac(double kcb, double kcb_min, double kc_max, double height_m) {
  const double relative = (kcb - kcb_min) / (kc_max - kcb_min);
  return relative <= 0 ? 0 : std::min(std::pow(relative, 1 + 0.5 * height_m), 0.99);
}

/// Ground cover of the crop: eq. 76 with the initial coefficient as the least one; the height is crop height x share of
/// full cover while the crop grows and the full height later.
inline double ground_cover(const WaterSettings& water, const LightSettings& light, double thermal_cd, double share, double kcb) {
  return covered_frac(kcb, water.kcb_initial, water.kc_max, water.height_m * (thermal_cd < light.decline_cd ? share : 1));
}

/// Depth of the root zone, m: a straight line in thermal time from the shallow depth at emergence to `deepest` at heading.
inline double root_depth(const StageSettings& stages, double shallow_m, double deepest_m, double thermal_cd) {
  const double share = std::clamp((thermal_cd - stages.emergence_cd) / (stages.heading_cd - stages.emergence_cd), 0.0, 1.0);
  return share >= 1 ? deepest_m : shallow_m + (deepest_m - shallow_m) * share;
}

}  // namespace rickyard
