// The two-stage frame and its decomposition against published stochastic programmes and against other solvers.
#include <doctest/doctest.h>

#include <cmath>

#include "planner/base/range.h"
#include "planner/sourcing/decomposition.h"
#include "planner/sourcing/information_value.h"
#include "planner/sourcing/two_stage.h"
#include "tests/sourcing/other_solver.h"
#include "tests/sourcing/published_programmes.h"

using namespace rickyard;

namespace {

double extensive_optimum(const TwoStage& problem) {
  const auto solution = solve_in_order(extensive_form(problem).lp, {});
  REQUIRE(solution.status == LpStatus::optimal);
  return solution.stage_objective[0];
}

}  // namespace

TEST_CASE("The farmer's problem: 108,390, acres 170, 80, 250, EVPI 7,015.56, VSS 1,150") {
  const auto problem = test::farmer();
  Decomposition solver(problem);
  const auto answer = solver.solve();
  REQUIRE(answer.status == LpStatus::optimal);
  CHECK(answer.objective == doctest::Approx(-108390).epsilon(1e-9));
  CHECK(answer.bound <= answer.objective);
  CHECK(answer.gap() < 1e-9);
  CHECK(answer.x[0] == doctest::Approx(170));
  CHECK(answer.x[1] == doctest::Approx(80));
  CHECK(answer.x[2] == doctest::Approx(250));
  CHECK(extensive_optimum(problem) == doctest::Approx(-108390).epsilon(1e-9));
  const auto known = wait_and_see(problem, 1);
  REQUIRE(known);
  CHECK(answer.objective - *known == doctest::Approx(7015.56).epsilon(1e-6));
  const auto mean = mean_problem(problem);
  const auto planned = Decomposition(mean).solve();
  CHECK(planned.objective == doctest::Approx(-118600).epsilon(1e-9));
  const auto lived = solver.evaluate(planned.x);
  CHECK(lived.objective - answer.objective == doctest::Approx(1150).epsilon(1e-6));
}

TEST_CASE("The farmer's problem with CVaR: decomposition, one linear programme and glpsol agree at every risk") {
  auto problem = test::farmer();
  Decomposition solver(problem);
  double mean_before = -kNoBound, tail_before = kNoBound;
  const std::vector<double> weight(3, 1.0 / 3);
  for (double lambda : {0.0, 0.25, 1.0, 4.0}) {
    problem.lambda = lambda;
    problem.alpha = 0.6;
    solver.set_risk(lambda, 0.6);
    const auto answer = solver.solve();
    REQUIRE(answer.status == LpStatus::optimal);
    const auto form = extensive_form(problem);
    CHECK(answer.objective == doctest::Approx(extensive_optimum(problem)).epsilon(1e-8));
    CHECK(answer.objective == doctest::Approx(test::solve_elsewhere(form.lp, "/tmp", "rickyard-farmer").objective).epsilon(1e-8));
    double planting = 0;
    for (int c = 0; c < 3; ++c) planting += problem.first.cost[static_cast<std::size_t>(c)] * answer.x[static_cast<std::size_t>(c)];
    const double mean = planting + risk_adjusted(answer.scenario_cost, weight, 0, 0.6);
    const double tail = planting + weighted_cvar(answer.scenario_cost, weight, 0.6);
    CHECK(mean >= mean_before - 1e-6);
    CHECK(tail <= tail_before + 1e-6);
    mean_before = mean;
    tail_before = tail;
  }
}

TEST_CASE("Whole acres of beets in lots of 60: integers are chosen to the gap") {
  auto problem = test::farmer();
  // beets = 60 x lots
  const int row = problem.first.add_row(0, 0, "lots");
  problem.first.add(row, 2, 1);
  problem.first.add(row, problem.first.add_column(0, 10, 0, "lots"), -60);
  problem.integer.push_back(1);
  problem.tie_cost.push_back(0);
  DecompositionOptions options;
  options.integer_gap = 1e-7;
  const auto answer = Decomposition(problem, options).solve();
  REQUIRE(answer.status == LpStatus::optimal);
  double best = kNoBound;
  for (int lots = 0; lots <= 8; ++lots) {
    auto fixed = problem;
    fixed.first.column_lower[3] = fixed.first.column_upper[3] = lots;
    best = std::min(best, extensive_optimum(fixed));
  }
  CHECK(answer.objective == doctest::Approx(best).epsilon(1e-7));
  CHECK(answer.x[3] == std::round(answer.x[3]));
}

TEST_CASE("A first stage that a scenario cannot live with is refused, and the search finds one it can") {
  // Two scenarios need 3 and 5; nothing can be bought later. x in 0..10 costs 1.
  TwoStage problem;
  problem.first.add_column(0, 10, 1, "x");
  problem.integer = {0};
  problem.tie_cost = {0};
  for (double need : {3.0, 5.0}) {
    TwoStageScenario s;
    s.weight = 0.5;
    s.largest = 100;
    s.lp.add_row(need, need, "need");
    s.lp.add(0, s.lp.add_column(0, kNoBound, 0.1, "left over"), -1);
    s.linking.push_back({0, 0, 1});
    problem.scenarios.push_back(std::move(s));
  }
  Decomposition solver(problem);
  CHECK(solver.evaluate({4}).status == LpStatus::infeasible);
  const auto answer = solver.solve();
  REQUIRE(answer.status == LpStatus::optimal);
  CHECK(answer.x[0] == doctest::Approx(5));
  CHECK(answer.objective == doctest::Approx(5 + 0.5 * 0.2));
  problem.first.column_upper[0] = 4;
  CHECK(Decomposition(problem).solve().status == LpStatus::infeasible);
}

TEST_CASE("The newsvendor's critical ratio: 1,000 equally likely demands, cost 4, price 10, salvage 1 -> quantile 6/9") {
  std::vector<double> demand;
  for (int i = 0; i < 1000; ++i) demand.push_back(i + 0.5);
  const auto problem = test::newsvendor(demand, 4, 10, 1);
  const auto answer = Decomposition(problem).solve();
  REQUIRE(answer.status == LpStatus::optimal);
  CHECK(answer.x[0] == doctest::Approx(1000 * 6.0 / 9).epsilon(1e-3));
}
