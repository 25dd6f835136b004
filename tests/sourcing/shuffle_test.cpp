// One answer: rows and columns of the programme in another order give the same plan.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

#include "planner/quality/forecast_by_formulas.h"
#include "planner/supply/make_scenarios.h"
#include "tests/sourcing/seasons.h"
#include "tests/sourcing/whole_programme.h"

using namespace rickyard;

namespace {

struct Shuffle {
  LpProblem lp;
  std::vector<std::vector<double>> tie_breaks;
  std::vector<int> column_to;  // old -> new
};

Shuffle shuffled(const LpProblem& lp, const std::vector<std::vector<double>>& tie_breaks, unsigned seed) {
  std::mt19937 engine(seed);
  const auto order = [&](int n) {
    std::vector<int> to(static_cast<std::size_t>(n));
    std::iota(to.begin(), to.end(), 0);
    for (std::size_t i = to.size(); i > 1; --i) std::swap(to[i - 1], to[engine() % i]);
    return to;
  };
  const auto moved = [](const std::vector<double>& from, const std::vector<int>& to) {
    std::vector<double> out(from.size());
    for (std::size_t i = 0; i < from.size(); ++i) out[static_cast<std::size_t>(to[i])] = from[i];
    return out;
  };
  const auto rows = order(lp.rows()), columns = order(lp.columns());
  Shuffle out{lp, {}, columns};
  out.lp.row_lower = moved(lp.row_lower, rows);
  out.lp.row_upper = moved(lp.row_upper, rows);
  out.lp.column_lower = moved(lp.column_lower, columns);
  out.lp.column_upper = moved(lp.column_upper, columns);
  out.lp.cost = moved(lp.cost, columns);
  for (auto& e : out.lp.entries) e = {rows[static_cast<std::size_t>(e.row)], columns[static_cast<std::size_t>(e.column)], e.value};
  for (const auto& stage : tie_breaks) out.tie_breaks.push_back(moved(stage, columns));
  return out;
}

// The first `columns` values of the problem solved with rows and columns shuffled, in their own order.
std::vector<double> solved_shuffled(const LpProblem& lp, const std::vector<std::vector<double>>& tie_breaks, unsigned seed, int columns) {
  const auto mixed = shuffled(lp, tie_breaks, seed);
  const auto solution = test::solve_checked(mixed.lp, mixed.tie_breaks);
  std::vector<double> out;
  for (int j = 0; j < columns; ++j) out.push_back(solution.value[static_cast<std::size_t>(mixed.column_to[static_cast<std::size_t>(j)])]);
  return out;
}

double difference(const std::vector<double>& a, const std::vector<double>& b, std::size_t from = 0) {
  double worst = 0;
  for (std::size_t j = 0; j < b.size(); ++j) worst = std::max(worst, std::abs(a[from + j] - b[j]));
  return worst;
}

// First stage from the shuffled whole, then every scenario's own problem shuffled: the largest difference from `plan`.
double shuffle_difference(const Programme& programme, const std::vector<double>& plan, unsigned seed) {
  const int first = programme.first_columns();
  const auto x = solved_shuffled(extensive_form(programme.problem).lp, {}, seed, first);
  double worst = difference(plan, x);
  for (std::size_t s = 0; s < programme.problem.scenarios.size(); ++s) {
    const int from = programme.column_start[s], to = programme.column_start[s + 1];
    std::vector<std::vector<double>> ties;
    for (const auto& stage : programme.tie_breaks) ties.emplace_back(stage.begin() + (from - first), stage.begin() + (to - first));
    const auto own = solved_shuffled(at_first_stage(programme.problem.scenarios[s], x), ties, seed + 100, to - from);
    worst = std::max(worst, difference(plan, own, static_cast<std::size_t>(from)));
  }
  return worst;
}

}  // namespace

TEST_CASE("Rows and columns shuffled 20 ways give the same plan to 1e-6 t") {
  for (unsigned seed : {0u, 1u, 2u, 3u, 40u}) {
    CAPTURE(seed);
    const auto random = test::random_season(seed);
    const auto programme = test::programme_of(random.season, random.supply);
    const auto plan = complete_answer(programme, test::solve_whole(programme.problem).first_stage, 1);
    REQUIRE_FALSE(plan.empty());
    for (unsigned way = 1; way <= 20; ++way) {
      CAPTURE(way);
      CHECK(shuffle_difference(programme, plan, way) < 1e-6);
    }
  }
}

TEST_CASE("A season of the demo's shape, over 5 years, shuffled 20 ways") {
  Season season = test::demo_sized_season();
  season.parameters.set("formula_years", 5);
  season.parameters.set("bootstrap_replicates", 10);
  SeasonPatch short_year;
  short_year.demand_factor = 1.6;
  const auto forecast = forecast_by_formulas(season, short_year);
  const auto supply = make_scenarios(season, short_year, forecast, 2, nullptr);
  const auto programme = build_programme(programme_terms(season, short_year, forecast, compute_need(season, short_year), supply));
  const auto plan = complete_answer(programme, test::solve_whole(programme.problem).first_stage, 2);
  REQUIRE_FALSE(plan.empty());
  for (unsigned way = 1; way <= 20; ++way) {
    CAPTURE(way);
    CHECK(shuffle_difference(programme, plan, way) < 1e-6);
  }
}
