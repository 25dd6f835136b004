#include "planner/base/scores.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>
#include <vector>

namespace rickyard {

// As the integral of (F(x) - [x >= y])^2, which is the same number: only terms that are not negative are added, so nothing cancels.
double crps(std::span<const double> values, std::span<const double> weights, double observed) {
  if (values.empty() || values.size() != weights.size())
    throw std::invalid_argument("a score needs as many weights as values, and at least one");
  if (!std::isfinite(observed)) throw std::invalid_argument("the observed value is not finite");
  std::vector<std::pair<double, double>> members;  // value, weight
  double total = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (!std::isfinite(values[i]) || !std::isfinite(weights[i]) || weights[i] < 0)
      throw std::invalid_argument("a value is not finite, or a weight is negative or not finite");
    if (weights[i] == 0) continue;
    members.emplace_back(values[i], weights[i]);
    total += weights[i];
  }
  if (members.empty()) throw std::invalid_argument("no weight is positive");
  std::sort(members.begin(), members.end());

  double score = std::max(members.front().first - observed, 0.0) + std::max(observed - members.back().first, 0.0);
  double below = 0;
  for (std::size_t i = 0; i + 1 < members.size(); ++i) {
    below += members[i].second;
    const double f = below / total, low = members[i].first, high = members[i + 1].first;
    const double split = std::clamp(observed, low, high);
    score += f * f * (split - low) + (1 - f) * (1 - f) * (high - split);
  }
  return score;
}

}  // namespace rickyard
