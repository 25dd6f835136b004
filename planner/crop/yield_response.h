#pragma once
// Yield factors from water, waterlogging, frost, heat and a wet harvest: each effect has one mechanism.
#include <algorithm>

namespace rickyard {

/// FAO-56 eq. 90 for one stage: 1 - Ky (1 - ETa / ETc), within 0..1; 1 where nothing was asked (etc_mm = 0).
inline double water_yield_factor(double ky, double eta_mm, double etc_mm) {
  return etc_mm > 0 ? std::clamp(1 - ky * (1 - eta_mm / etc_mm), 0.0, 1.0) : 1;
}

/// 1 - min(loss x count, most); fractions.
inline double capped_loss_factor(double loss, double count, double most) { return 1 - std::min(loss * count, most); }

}  // namespace rickyard
