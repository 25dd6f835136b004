#include "planner/supply/totals.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numeric>

#include "planner/base/draws.h"

namespace rickyard {
namespace {

std::vector<double> cumulative(const std::vector<double>& weights) {
  std::vector<double> sum(weights.size());
  std::partial_sum(weights.begin(), weights.end(), sum.begin());
  return sum;
}

// First index whose cumulative weight exceeds u x total.
std::size_t pick(const std::vector<double>& cumulative_weights, double u) {
  const auto at = std::upper_bound(cumulative_weights.begin(), cumulative_weights.end(), u * cumulative_weights.back());
  return std::min(static_cast<std::size_t>(at - cumulative_weights.begin()), cumulative_weights.size() - 1);
}

// Type 7 quantile of values in ascending order, each counted as often as its year was drawn: weighted_quantile without its sort.
// running: [value] cumulative counts; total and squares: sums of the counts and of their squares.
double quantile_of_counts(const std::vector<double>& value, const std::vector<double>& running, double total, double squares, double p) {
  const double n = total * total / squares, a = p * (n - 1) / n;
  // Counts are whole numbers: up to 1 below a x total the share reached is 0.
  const auto from = std::lower_bound(running.begin(), running.end(), a * total - 1);
  double before = 0, quantile = 0;
  for (auto i = static_cast<std::size_t>(from - running.begin()); i < value.size() && before < 1; ++i) {
    const double here = std::clamp((running[i] / total - a) * n, 0.0, 1.0);
    if (here > before) quantile += value[i] * (here - before);
    before = here;
  }
  return quantile;
}

}  // namespace

IndependentTotal independent_total(const Season& season, const SupplyScenarios& scenarios, const std::vector<double>& regional_t,
                                   int regions) {
  const auto draws = static_cast<std::size_t>(season.parameters["independence_draws"]);
  const auto year_sum = cumulative(scenarios.year_weights);
  const auto per_year = static_cast<std::size_t>(scenarios.draws_per_year);
  std::vector<double> total(draws, 0);
  for (std::size_t j = 0; j < draws; ++j)
    for (std::size_t r = 0; r < static_cast<std::size_t>(regions); ++r) {
      const auto uniform = [&](std::uint32_t index) {
        return uniform_draw(season.seed, DrawPurpose::independence,
                            {0, static_cast<std::uint32_t>(j), static_cast<std::uint32_t>(r), index});
      };
      const std::size_t year = pick(year_sum, uniform(0));
      const std::size_t draw = std::min(static_cast<std::size_t>(uniform(1) * static_cast<double>(per_year)), per_year - 1);
      total[j] += regional_t[(year * per_year + draw) * static_cast<std::size_t>(regions) + r];
    }
  const std::vector<double> weights(draws, 1.0);
  return {weighted_range(total, weights), weighted_quantile(total, weights, 0.05)};
}

void add_sampling(const Season& season, const std::vector<double>& total_t, SupplyScenarios& scenarios) {
  const auto replicates = static_cast<std::size_t>(season.parameters["bootstrap_replicates"]);
  // As many years as the weights are worth: one that counts for nothing makes no figure surer.
  const auto worth = std::llround(effective_sample_size(scenarios.year_weights));
  const double none = std::numeric_limits<double>::quiet_NaN();
  scenarios.sampling_p10 = scenarios.sampling_p50 = scenarios.sampling_p90 = {none, none};
  if (worth < 2) return;
  const std::size_t years = scenarios.years.size();
  const auto year_sum = cumulative(scenarios.year_weights);
  std::vector<std::size_t> order(total_t.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return total_t[a] < total_t[b]; });
  std::vector<double> value, drawn(years), running(order.size());
  std::vector<std::size_t> year;
  for (std::size_t s : order) {
    value.push_back(total_t[s]);
    year.push_back(static_cast<std::size_t>(scenarios.scenarios[s].year));
  }
  const double per_year = scenarios.draws_per_year;
  std::array<std::vector<double>, 3> found;
  for (std::size_t b = 0; b < replicates; ++b) {
    std::fill(drawn.begin(), drawn.end(), 0.0);
    for (std::uint32_t i = 0; i < worth; ++i)
      drawn[pick(year_sum, uniform_draw(season.seed, DrawPurpose::bootstrap, {0, static_cast<std::uint32_t>(b), i, 0}))] += 1;
    double total = 0, squares = 0, sum = 0;
    for (double count : drawn) {
      total += per_year * count;
      squares += per_year * count * count;
    }
    for (std::size_t i = 0; i < order.size(); ++i) running[i] = sum += drawn[year[i]];
    const std::array<double, 3> levels{0.1, 0.5, 0.9};
    for (std::size_t q = 0; q < 3; ++q) found[q].push_back(quantile_of_counts(value, running, total, squares, levels[q]));
  }
  const std::vector<double> equal(replicates, 1.0);
  const double tail = (1 - season.parameters["bootstrap_level"]) / 2;
  const auto interval = [&](const std::vector<double>& values) {
    return SupplyScenarios::Sampling{weighted_quantile(values, equal, tail), weighted_quantile(values, equal, 1 - tail)};
  };
  scenarios.sampling_p10 = interval(found[0]);
  scenarios.sampling_p50 = interval(found[1]);
  scenarios.sampling_p90 = interval(found[2]);
}

}  // namespace rickyard
