// What the answer means: cost against risk, one more hectare, how sure the amounts are, waiting, insuring, planning for the mean.
#include <algorithm>
#include <cmath>
#include <numeric>

#include "planner/base/draws.h"
#include "planner/decision/choice.h"
#include "planner/sourcing/delivery.h"
#include "planner/supply/backups.h"

namespace rickyard {
namespace {

using std::size_t;

size_t at(int i) { return static_cast<size_t>(i); }

constexpr double kStep = 0.01;      // of an amount, for its worth
constexpr double kGoneShare = 0.5;  // of the listed tonnes: at most so much counts as gone

double chance_of(const Choice& choice, const std::vector<double>& unmet) {
  double chance = 0;
  for (size_t s = 0; s < unmet.size(); ++s)
    if (unmet[s] <= kCoveredShare * choice.need(static_cast<int>(s))) chance += choice.terms().weight[s];
  return chance;
}

std::vector<double> amounts(const Choice& choice, const std::vector<double>& x) {
  auto out = choice.scale(x);
  for (size_t c = 0; c < out.size(); ++c) out[c] *= amount_of(choice.terms().season.contracts[c]);
  return out;
}

}  // namespace

FrontierPoint frontier_point(Choice& choice, const TwoStageSolution& solution, double lambda) {
  FrontierPoint point;
  point.lambda = lambda;
  point.expected_cost = choice.expected_cost(solution);
  point.cvar = choice.cvar(solution);
  const auto unmet = choice.unmet(solution.x);
  point.chance_covered = chance_of(choice, unmet);
  for (size_t s = 0; s < unmet.size(); ++s) point.unmet_t += choice.terms().weight[s] * unmet[s];
  point.amount = amounts(choice, solution.x);
  point.ordered_t = choice.ordered(solution.x);
  return point;
}

// Planes found at one risk hold at every other, so each further point is cheap.
std::vector<FrontierPoint> frontier(Choice& choice, const DecisionOptions& options) {
  const auto& problem = choice.programme().problem;
  auto lambdas = options.lambdas;
  lambdas.push_back(problem.lambda);
  std::sort(lambdas.begin(), lambdas.end());
  lambdas.erase(std::unique(lambdas.begin(), lambdas.end()), lambdas.end());
  std::vector<FrontierPoint> out;
  for (double lambda : lambdas) {
    if (options.stop && options.stop()) break;
    choice.solver().set_risk(lambda, problem.alpha);
    const auto solution = choice.solver().solve();
    if (solution.found) out.push_back(frontier_point(choice, solution, lambda));
  }
  choice.solver().set_risk(problem.lambda, problem.alpha);
  return out;
}

std::vector<OneMore> one_more(Choice& choice, const TwoStageSolution& best) {
  const auto& contracts = choice.terms().season.contracts;
  const double lambda = choice.programme().problem.lambda;
  // Whole lots stay as they are: a hectare is worth what it is worth beside them.
  std::vector<std::pair<int, double>> held;
  const auto& integer = choice.programme().problem.integer;
  for (int j = 0; j < choice.programme().first_columns(); ++j)
    if (integer[at(j)] || j < static_cast<int>(contracts.size())) held.emplace_back(j, best.x[at(j)]);
  const auto here = choice.solve_holding(held);
  std::vector<OneMore> out(contracts.size());
  if (!here.found) return out;
  const double base = choice.objective(here, lambda);
  for (size_t c = 0; c < contracts.size(); ++c) {
    const double scale = best.x[c], step = kStep * std::max(scale, kStep), amount = amount_of(contracts[c]);
    if (!(amount > 0)) continue;
    const auto at_scale = [&](double value) -> std::optional<double> {
      auto moved = held;
      moved[c].second = value;
      const auto solution = choice.solve_holding(moved);
      if (!solution.found) return {};
      return choice.objective(solution, lambda);
    };
    if (const auto more = at_scale(scale + step)) out[c].more_saves = (base - *more) / (step * amount);
    if (scale >= step)
      if (const auto less = at_scale(scale - step)) out[c].less_costs = (*less - base) / (step * amount);
  }
  return out;
}

// Years drawn anew with their weights, as many as there are; planes hold for every weight.
std::vector<Range> stability(Choice& choice, const DecisionOptions& options) {
  const auto& terms = choice.terms();
  const auto& supply = terms.supply;
  const size_t years = supply.years.size();
  std::vector<double> cumulative(years);
  std::partial_sum(supply.year_weights.begin(), supply.year_weights.end(), cumulative.begin());
  std::vector<std::vector<double>> drawn(terms.season.contracts.size());
  for (int b = 0; b < options.bootstraps; ++b) {
    if (options.stop && options.stop()) break;
    std::vector<double> times(years, 0);
    for (size_t i = 0; i < years; ++i) {
      const double u =
          uniform_draw(terms.season.seed, DrawPurpose::decision, {static_cast<std::uint32_t>(b), static_cast<std::uint32_t>(i), 0, 0});
      const auto found = std::upper_bound(cumulative.begin(), cumulative.end(), u * cumulative.back());
      times[std::min(static_cast<size_t>(found - cumulative.begin()), years - 1)] += 1;
    }
    // A scenario's weight inside its year stays; the year's is how often it was drawn.
    std::vector<double> year_weight(years, 0), weight(terms.weight.size());
    for (size_t s = 0; s < weight.size(); ++s) year_weight[at(supply.scenarios[at(terms.scenario_of[s])].year)] += terms.weight[s];
    for (size_t s = 0; s < weight.size(); ++s) {
      const auto year = at(supply.scenarios[at(terms.scenario_of[s])].year);
      weight[s] = year_weight[year] > 0 ? terms.weight[s] / year_weight[year] * times[year] / static_cast<double>(years) : 0;
    }
    choice.solver().set_weights(weight);
    const auto solution = choice.solver().solve();
    if (!solution.found) continue;
    const auto found = amounts(choice, solution.x);
    for (size_t c = 0; c < found.size(); ++c) drawn[c].push_back(found[c]);
  }
  choice.solver().set_weights(terms.weight);
  std::vector<Range> out;
  for (const auto& values : drawn)
    if (!values.empty()) out.push_back(weighted_range(values, std::vector<double>(values.size(), 1.0)));
  return out;
}

std::vector<WaitOrBuy> wait_or_buy(const Choice& choice, const TwoStageSolution& best) {
  const auto& terms = choice.terms();
  const auto ordered = choice.ordered(best.x);
  std::vector<WaitOrBuy> out;
  for (int b = 0; b < static_cast<int>(terms.backups.size()); ++b) {
    const auto& backup = terms.backups[at(b)];
    std::vector<int> now, later;
    for (int m = 0; m < terms.months; ++m)
      if (backup.open[at(m)]) (backup.first_stage[at(m)] ? now : later).push_back(m);
    if (now.empty() && later.empty()) continue;
    WaitOrBuy row;
    row.backup = b;
    row.ordered_now_t = ordered[at(b)];
    const auto mean_price = [&](const std::vector<int>& months, int scenario) {
      double sum = 0;
      for (int m : months) {
        const auto price = backup_price(terms, b, m, scenario);
        sum += price.grain + price.freight;
      }
      return sum / static_cast<double>(months.size());
    };
    row.now_per_t = mean_price(now.empty() ? later : now, -1);
    std::vector<double> price;
    for (int s = 0; s < static_cast<int>(terms.weight.size()); ++s) {
      if (terms.supply.scenarios[at(terms.scenario_of[at(s)])].backups[at(b)].cap_factor <= kGoneShare)
        row.chance_gone += terms.weight[at(s)];
      if (!later.empty()) price.push_back(mean_price(later, s));
    }
    if (!later.empty()) {
      const auto range = weighted_range(price, terms.weight);
      row.later_mean_per_t = range.mean;
      row.later_p90_per_t = range.p90;
    }
    out.push_back(row);
  }
  return out;
}

Insurance insurance(Choice& choice, const TwoStageSolution& best) {
  const auto& programme = choice.programme();
  const auto& weight = choice.terms().weight;
  std::vector<std::pair<int, double>> held;
  for (int j = 0; j < programme.first_columns(); ++j) {
    const auto kind = programme.columns[at(j)].kind;
    if (kind == ColumnKind::contract) held.emplace_back(j, best.x[at(j)]);
    if (choice.shared(j) && (kind == ColumnKind::order || kind == ColumnKind::lots)) held.emplace_back(j, 0);
  }
  Insurance out;
  for (double t : choice.ordered(best.x)) out.ordered_t += t;
  out.expected_cost = choice.expected_cost(best);
  out.cvar = choice.cvar(best);
  out.chance_covered = chance_of(choice, choice.unmet(best.x));
  const auto bare = choice.solve_holding(held);
  if (!bare.found) {
    out.possible_without = false;
    return out;
  }
  out.expected_cost_without = choice.expected_cost(bare);
  out.cvar_without = choice.cvar(bare);
  out.chance_covered_without = chance_of(choice, choice.unmet(bare.x));
  double dearer_weight = 0;
  for (size_t s = 0; s < weight.size(); ++s) {
    const double extra = choice.first_cost(best.x) + best.scenario_cost[s] - choice.first_cost(bare.x) - bare.scenario_cost[s];
    (extra > 0 ? out.extra_in_other_years : out.saved_in_bad_years) += weight[s] * std::abs(extra);
    (extra > 0 ? dearer_weight : out.weight_of_bad_years) += extra == 0 ? 0 : weight[s];
  }
  if (dearer_weight > 0) out.extra_in_other_years /= dearer_weight;
  if (out.weight_of_bad_years > 0) out.saved_in_bad_years /= out.weight_of_bad_years;
  return out;
}

}  // namespace rickyard
