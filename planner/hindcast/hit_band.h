#pragma once
// How many seasons should lie inside a range, by the exact binomial law.

namespace rickyard {

struct HitBand {
  int low = 0, high = 0;
  double probability = 0;  // exact chance of low..high
};

/// Probability of k hits in n trials of chance p, exact up to rounding. n >= 0, 0 <= k <= n, 0 < p < 1.
double binomial_probability(int n, int k, double p);

/// The counts that are likeliest in n trials of chance `p`: taken in order of their probability (of equals the lower count) as long as
/// that brings their joint probability nearer to `level`. For p 0.8 and level 0.99: 8 trials 4..8, 30 trials 19..29. n >= 1.
HitBand hit_band(int n, double p = 0.8, double level = 0.99);

}  // namespace rickyard
