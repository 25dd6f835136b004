// The programme against another solver on 100 random seasons, and against itself with rows and columns shuffled.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <numeric>
#include <random>

#include "planner/quality/forecast_by_formulas.h"
#include "planner/sourcing/plan_sourcing.h"
#include "planner/sourcing/programme.h"
#include "planner/supply/make_scenarios.h"
#include "tests/sourcing/other_solver.h"
#include "tests/sourcing/seasons.h"

using namespace rickyard;

namespace {

Programme programme_of(const Season& season, const SupplyScenarios& supply) {
  HarvestForecast forecast;
  forecast.years = supply.years;
  forecast.weights = supply.year_weights;
  return build_programme(programme_terms(season, {}, forecast, compute_need(season, {}), supply));
}

std::vector<double> activities(const LpProblem& lp, const std::vector<double>& value) {
  std::vector<double> out(static_cast<std::size_t>(lp.rows()), 0);
  for (const auto& e : lp.entries) out[static_cast<std::size_t>(e.row)] += e.value * value[static_cast<std::size_t>(e.column)];
  return out;
}

// Some row of this kind stands at its upper bound with grain in it.
bool binds(const Programme& programme, const std::vector<double>& value, RuleKind kind) {
  const auto activity = activities(programme.lp, value);
  std::vector<double> moved(activity.size(), 0);
  for (const auto& e : programme.lp.entries)
    moved[static_cast<std::size_t>(e.row)] += std::abs(e.value) * value[static_cast<std::size_t>(e.column)];
  for (std::size_t i = 0; i < activity.size(); ++i)
    if (programme.rows[i].kind == kind && activity[i] > programme.lp.row_upper[i] - 1e-6 && moved[i] > 0.1) return true;
  return false;
}

// A month in which the claim line runs short while grain without the claim lies in store.
bool idle_beside_unmet(const Season& season, const Programme& programme, const std::vector<double>& value) {
  for (std::size_t j = 0; j < value.size(); ++j) {
    const auto& short_of = programme.columns[j];
    if (short_of.kind != ColumnKind::unmet || short_of.line != 1 || value[j] < 1) continue;
    for (std::size_t k = 0; k < value.size(); ++k) {
      const auto& kept = programme.columns[k];
      if (kept.kind == ColumnKind::stock && kept.scenario == short_of.scenario && kept.month == short_of.month && value[k] > 1 &&
          kept.heap < static_cast<int>(season.stock.size()) && season.stock[static_cast<std::size_t>(kept.heap)].origin == "away")
        return true;
    }
  }
  return false;
}

struct Shuffle {
  LpProblem lp;
  std::vector<std::vector<double>> tie_breaks;
  std::vector<int> column_to;  // old -> new
};

Shuffle shuffled(const Programme& programme, unsigned seed) {
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
  const auto& lp = programme.lp;
  const auto rows = order(lp.rows()), columns = order(lp.columns());
  Shuffle out{lp, {}, columns};
  out.lp.row_lower = moved(lp.row_lower, rows);
  out.lp.row_upper = moved(lp.row_upper, rows);
  out.lp.column_lower = moved(lp.column_lower, columns);
  out.lp.column_upper = moved(lp.column_upper, columns);
  out.lp.cost = moved(lp.cost, columns);
  for (auto& e : out.lp.entries) e = {rows[static_cast<std::size_t>(e.row)], columns[static_cast<std::size_t>(e.column)], e.value};
  for (const auto& stage : programme.tie_breaks) out.tie_breaks.push_back(moved(stage, columns));
  return out;
}

// Largest difference in tonnes between the plan and the plan from shuffled rows and columns.
double shuffle_difference(const Programme& programme, const std::vector<double>& value, unsigned seed) {
  const auto mixed = shuffled(programme, seed);
  const auto solution = solve_in_order(mixed.lp, mixed.tie_breaks);
  REQUIRE(solution.status == LpStatus::optimal);
  double worst = 0;
  for (std::size_t j = 0; j < value.size(); ++j)
    worst = std::max(worst, std::abs(value[j] - solution.value[static_cast<std::size_t>(mixed.column_to[j])]));
  return worst;
}

}  // namespace

TEST_CASE("100 random seasons agree with glpsol, stage by stage") {
  const auto folder = std::filesystem::temp_directory_path() / "rickyard-programme-reference";
  std::filesystem::create_directories(folder);
  int ceilings = 0, full = 0, shared = 0, idle = 0;
  for (unsigned seed = 0; seed < 100; ++seed) {
    CAPTURE(seed);
    const auto random = test::random_season(seed, static_cast<int>(seed % 4));
    const auto programme = programme_of(random.season, random.supply);
    std::vector<LpProblem> stages;
    const auto ours = solve_in_order(programme.lp, programme.tie_breaks, {}, &stages);
    REQUIRE(ours.status == LpStatus::optimal);
    REQUIRE(stages.size() == 4);
    for (std::size_t stage = 0; stage < stages.size(); ++stage) {
      CAPTURE(stage);
      const auto theirs = test::solve_elsewhere(stages[stage], folder.string(), std::to_string(seed) + "-" + std::to_string(stage));
      REQUIRE(theirs.optimal);
      const double scale = std::max(1.0, std::abs(theirs.objective));
      CHECK(std::abs(ours.stage_objective[stage] - theirs.objective) <= 1e-7 * scale);
      if (stage + 1 < stages.size()) continue;
      double worst = 0;  // the last stage has one answer
      for (std::size_t j = 0; j < ours.value.size(); ++j) worst = std::max(worst, std::abs(ours.value[j] - theirs.value[j]));
      CHECK(worst < 1e-4);
    }
    ceilings += binds(programme, ours.value, RuleKind::ceiling) ? 1 : 0;
    full += binds(programme, ours.value, RuleKind::store) ? 1 : 0;
    shared += binds(programme, ours.value, RuleKind::share) ? 1 : 0;
    idle += idle_beside_unmet(random.season, programme, ours.value) ? 1 : 0;
  }
  CHECK(ceilings >= 20);
  CHECK(full >= 20);
  CHECK(shared >= 20);
  CHECK(idle >= 20);
  std::filesystem::remove_all(folder);
}

TEST_CASE("The optimal face is kept whole: neither left nor narrowed") {
  const auto folder = std::filesystem::temp_directory_path() / "rickyard-programme-face";
  std::filesystem::create_directories(folder);
  const auto sum = [](const std::vector<double>& cost, const std::vector<double>& value) {
    return std::inner_product(cost.begin(), cost.end(), value.begin(), 0.0);
  };
  for (unsigned seed = 100; seed < 140; ++seed) {
    CAPTURE(seed);
    const auto random = test::random_season(seed, static_cast<int>(seed % 4));
    const auto programme = programme_of(random.season, random.supply);
    const auto ours = solve_in_order(programme.lp, programme.tie_breaks);
    REQUIRE(ours.status == LpStatus::optimal);
    // Not left: the final plan still has the first optimum, then the second and so on.
    CHECK(sum(programme.lp.cost, ours.value) == doctest::Approx(ours.stage_objective[0]).epsilon(1e-9));
    CHECK(sum(programme.tie_breaks[0], ours.value) == doctest::Approx(ours.stage_objective[1]).epsilon(1e-9));
    CHECK(sum(programme.tie_breaks[1], ours.value) == doctest::Approx(ours.stage_objective[2]).epsilon(1e-9));
    // Not narrowed: with the cost held by one dense row instead, glpsol finds no better second and third objective.
    LpProblem dense = programme.lp;
    const int held = dense.add_row(-kNoBound, ours.stage_objective[0] + 1e-10 * std::abs(ours.stage_objective[0]), "cost");
    for (int j = 0; j < programme.lp.columns(); ++j) dense.add(held, j, programme.lp.cost[static_cast<std::size_t>(j)]);
    dense.cost = programme.tie_breaks[0];
    const auto second = test::solve_elsewhere(dense, folder.string(), "second");
    REQUIRE(second.optimal);
    CHECK(second.objective == doctest::Approx(ours.stage_objective[1]).epsilon(1e-4));
    const int also = dense.add_row(-kNoBound, ours.stage_objective[1] + 1e-9 * (1 + std::abs(ours.stage_objective[1])), "unmet");
    for (int j = 0; j < programme.lp.columns(); ++j) dense.add(also, j, programme.tie_breaks[0][static_cast<std::size_t>(j)]);
    dense.cost = programme.tie_breaks[1];
    const auto third = test::solve_elsewhere(dense, folder.string(), "third");
    REQUIRE(third.optimal);
    CHECK(third.objective == doctest::Approx(ours.stage_objective[2]).epsilon(1e-3));
  }
  std::filesystem::remove_all(folder);
}

TEST_CASE("Rows and columns shuffled 20 ways give the same plan to 1e-6 t") {
  for (unsigned seed : {0u, 1u, 2u, 3u, 40u}) {
    const auto random = test::random_season(seed, static_cast<int>(seed % 4));
    const auto programme = programme_of(random.season, random.supply);
    const auto value = solve_in_order(programme.lp, programme.tie_breaks).value;
    for (unsigned way = 1; way <= 20; ++way) CHECK(shuffle_difference(programme, value, way) < 1e-6);
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
  const auto value = solve_in_order(programme.lp, programme.tie_breaks).value;
  for (unsigned way = 1; way <= 20; ++way) {
    CAPTURE(way);
    CHECK(shuffle_difference(programme, value, way) < 1e-6);
  }
}

TEST_CASE("The same plan, bit for bit, from supply made on 1, 2 and 4 threads") {
  Season season = test::demo_sized_season();
  season.parameters.set("formula_years", 4);
  season.parameters.set("bootstrap_replicates", 10);
  const auto forecast = forecast_by_formulas(season, {});
  const auto need = compute_need(season, {});
  const auto plan_on = [&](int threads) {
    return plan_sourcing(season, {}, forecast, need, make_scenarios(season, {}, forecast, threads, nullptr), nullptr);
  };
  const auto one = plan_on(1);
  REQUIRE(one.status == SolveStatus::optimal);
  REQUIRE(one.flows.size() > 100);
  for (int threads : {2, 4}) {
    const auto many = plan_on(threads);
    REQUIRE(many.flows.size() == one.flows.size());
    bool same = many.objective == one.objective;
    for (std::size_t i = 0; i < one.flows.size(); ++i)
      same = same && one.flows[i].t == many.flows[i].t && one.flows[i].heap == many.flows[i].heap;
    CHECK(same);
  }
}
