#include "planner/hindcast/hit_band.h"

#include <cmath>
#include <stdexcept>

namespace rickyard {

double binomial_probability(int n, int k, double p) {
  // Through logarithms of factorials: 200 trials are as exact as 8.
  const double ways = std::lgamma(n + 1.0) - std::lgamma(k + 1.0) - std::lgamma(n - k + 1.0);
  return std::exp(ways + k * std::log(p) + (n - k) * std::log1p(-p));
}

HitBand hit_band(int n, double p, double level) {
  if (n < 1 || !(p > 0 && p < 1)) throw std::invalid_argument("a band of hits needs at least one trial and a chance between 0 and 1");
  HitBand band;
  band.low = band.high = static_cast<int>(std::floor((n + 1) * p));  // the likeliest count
  if (band.high > n) band.low = band.high = n;
  band.probability = binomial_probability(n, band.low, p);
  while (band.low > 0 || band.high < n) {
    const double below = band.low > 0 ? binomial_probability(n, band.low - 1, p) : 0;
    const double above = band.high < n ? binomial_probability(n, band.high + 1, p) : 0;
    const bool take_below = below >= above;
    const double next = band.probability + (take_below ? below : above);
    if (std::abs(next - level) >= std::abs(band.probability - level)) break;
    band.probability = next;
    (take_below ? band.low : band.high) += take_below ? -1 : 1;
  }
  return band;
}

}  // namespace rickyard
