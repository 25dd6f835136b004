#include "planner/base/range.h"

#include <algorithm>
#include <numeric>
#include <stdexcept>

namespace rickyard {
namespace {

// Values in ascending order with cumulative normalised weights; zero weights dropped.
struct Sorted {
  std::vector<double> value, cumulative;
  double effective_n = 0;
};

void check(std::span<const double> values, std::span<const double> weights) {
  if (values.empty() || values.size() != weights.size())
    throw std::invalid_argument("a quantile needs as many weights as values, and at least one");
  double sum = 0;
  for (double w : weights) {
    if (!(w >= 0)) throw std::invalid_argument("a weight is negative or missing");
    sum += w;
  }
  if (!(sum > 0)) throw std::invalid_argument("no weight is positive");
}

Sorted sorted(std::span<const double> values, std::span<const double> weights) {
  check(values, weights);
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < values.size(); ++i)
    if (weights[i] > 0) order.push_back(i);
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
  Sorted out;
  double total = 0, squares = 0;
  for (std::size_t i : order) total += weights[i];
  double running = 0;
  for (std::size_t i : order) {
    running += weights[i];
    squares += (weights[i] / total) * (weights[i] / total);
    out.value.push_back(values[i]);
    out.cumulative.push_back(running / total);
  }
  out.cumulative.back() = 1;
  out.effective_n = 1 / squares;
  return out;
}

double type7(const Sorted& s, double p) {
  const double a = p * (s.effective_n - 1) / s.effective_n;
  const double b = a + 1 / s.effective_n;
  const auto f = [&](double u) { return std::clamp((u - a) / (b - a), 0.0, 1.0); };
  double before = 0, quantile = 0;
  for (std::size_t i = 0; i < s.value.size(); ++i) {
    const double here = f(s.cumulative[i]);
    if (here > before) quantile += s.value[i] * (here - before);
    before = here;
  }
  return std::clamp(quantile, s.value.front(), s.value.back());
}

}  // namespace

double weighted_quantile(std::span<const double> values, std::span<const double> weights, double p) {
  return type7(sorted(values, weights), p);
}

double inverse_distribution_quantile(std::span<const double> values, std::span<const double> weights, double p) {
  const Sorted s = sorted(values, weights);
  for (std::size_t i = 0; i < s.value.size(); ++i)
    if (s.cumulative[i] >= p - 1e-12) return s.value[i];
  return s.value.back();
}

double weighted_mean(std::span<const double> values, std::span<const double> weights) {
  check(values, weights);
  double sum = 0, weight = 0;
  for (std::size_t i = 0; i < values.size(); ++i)
    if (weights[i] > 0) {
      sum += values[i] * weights[i];
      weight += weights[i];
    }
  return sum / weight;
}

Range weighted_range(std::span<const double> values, std::span<const double> weights) {
  const Sorted s = sorted(values, weights);
  return {weighted_mean(values, weights), type7(s, 0.1), type7(s, 0.5), type7(s, 0.9)};
}

double weighted_cvar(std::span<const double> costs, std::span<const double> weights, double alpha) {
  const double var = inverse_distribution_quantile(costs, weights, alpha);
  std::vector<double> excess(costs.size());
  for (std::size_t i = 0; i < costs.size(); ++i) excess[i] = std::max(costs[i] - var, 0.0);
  return var + weighted_mean(excess, weights) / (1 - alpha);
}

double effective_sample_size(std::span<const double> weights) {
  double sum = 0, squares = 0;
  for (double w : weights) {
    sum += w;
    squares += w * w;
  }
  return squares > 0 ? sum * sum / squares : 0;
}

}  // namespace rickyard
