#pragma once
// Scores of a forecast given as an ensemble against what was observed.
#include <span>

namespace rickyard {

/// Continuous ranked probability score of a weighted ensemble (Gneiting & Raftery 2007, J. Am. Stat. Assoc. 102:359-378, eq. 21):
/// sum w_i |x_i - y| - 1/2 sum_ij w_i w_j |x_i - x_j|, weights normalised to sum 1. In the unit of the values, >= 0, smaller is
/// better; one member gives the absolute error. It is not the "fair" form, which divides by M (M - 1).
/// values, weights: [n], same length, any order, weights >= 0 with a positive sum; members of weight 0 do not count. O(n log n).
/// Throws std::invalid_argument on empty input, lengths that differ, a weight that is negative, no positive weight, or a number
/// that is not finite.
double crps(std::span<const double> values, std::span<const double> weights, double observed);

}  // namespace rickyard
