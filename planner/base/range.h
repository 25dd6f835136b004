#pragma once
// The range every figure is given as, and the weighted quantiles behind it.
#include <span>
#include <vector>

namespace rickyard {

/// Weighted mean and quantiles of one figure over scenarios.
struct Range {
  double mean = 0, p10 = 0, p50 = 0, p90 = 0;
};

/// Weighted quantile of type 7 (METHODS.md, "Quantiles"): equal weights give Hyndman & Fan type 7.
/// values, weights: [n], same length, weights >= 0 with a positive sum; p in [0, 1].
/// Throws std::invalid_argument on empty input, lengths that differ, or no positive weight.
double weighted_quantile(std::span<const double> values, std::span<const double> weights, double p);

/// Smallest value whose cumulative normalised weight reaches p (slack 1e-12): for probabilities and CVaR only.
double inverse_distribution_quantile(std::span<const double> values, std::span<const double> weights, double p);

/// Weighted mean; the same errors as weighted_quantile.
double weighted_mean(std::span<const double> values, std::span<const double> weights);

/// Mean, P10, P50, P90 in one pass over one sort.
Range weighted_range(std::span<const double> values, std::span<const double> weights);

/// Conditional value at risk of a cost at level alpha in [0, 1): mean of the worst (1 - alpha) share,
/// the atom at the quantile split (Rockafellar & Uryasev 2002).
double weighted_cvar(std::span<const double> costs, std::span<const double> weights, double alpha);

/// Effective sample size (sum w)^2 / sum w^2.
double effective_sample_size(std::span<const double> weights);

}  // namespace rickyard
