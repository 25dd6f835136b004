#pragma once
// How results are rounded on their way out, the same in plan.json and in every table.
#include <cmath>

namespace rickyard {

inline constexpr int kFigureDecimals = 6;    // tonnes, money, percentages, everything with a unit
inline constexpr int kFractionDecimals = 9;  // weights, chances, shares and factors: numbers without a unit

/// Rounds to 10^-decimals, decimals 0..15; halves away from zero; -0 becomes 0. NaN and infinities stay what they are.
/// Numbers so large that a double holds no such decimals come back unchanged.
inline double rounded(double value, int decimals) {
  const double scale = std::pow(10.0, decimals);
  const double scaled = value * scale;
  if (!(std::fabs(scaled) < 9007199254740992.0)) return value;  // 2^53
  return std::round(scaled) / scale + 0.0;
}

}  // namespace rickyard
