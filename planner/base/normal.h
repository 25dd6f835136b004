#pragma once
// The normal distribution: cumulative probability, its inverse, density, and truncated means.
namespace rickyard {

/// Phi(z), by erfc; absolute error below 1e-15.
double normal_cdf(double z);
/// phi(z).
double normal_pdf(double z);
/// Inverse of Phi; p in (0, 1), otherwise std::domain_error. Boost.Math quantile.
double normal_quantile(double p);

/// Mean of N(mean, sigma) restricted to (lower, upper); infinities allowed; sigma > 0.
/// Where the interval holds less than 1e-300 of the mass the nearer bound is returned.
double truncated_normal_mean(double mean, double sigma, double lower, double upper);

/// The mean of all grain whose accepted part (at or under `limit`) has mean `accepted_mean`: inverts
/// truncated_normal_mean(m, sigma, -inf, limit) by bisection to 1e-12. accepted_mean < limit.
double all_grain_mean(double accepted_mean, double sigma, double limit);

}  // namespace rickyard
