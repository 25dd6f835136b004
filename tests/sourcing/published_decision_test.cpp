// Decisions under risk with published answers (check values, section 8), through the classes that plan a season.
#include <doctest/doctest.h>

#include <cmath>

#include "planner/base/range.h"
#include "planner/sourcing/decomposition.h"
#include "planner/sourcing/information_value.h"
#include "planner/sourcing/warm_lp.h"
#include "tests/sourcing/plan_checks.h"
#include "tests/sourcing/published_programmes.h"
#include "tests/sourcing/whole_programme.h"

using namespace rickyard;

namespace {

bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }

TwoStageSolution solved(const TwoStage& problem, double integer_gap = 1e-9) {
  DecompositionOptions options;
  options.integer_gap = integer_gap;
  auto answer = Decomposition(problem, options).solve();
  REQUIRE(answer.status == LpStatus::optimal);
  return answer;
}

double planting_cost(const TwoStage& problem, const std::vector<double>& x) {
  double sum = 0;
  for (std::size_t j = 0; j < x.size(); ++j) sum += problem.first.cost[j] * x[j];
  return sum;
}

// Profit in the low, mean and high year.
std::vector<double> profits(const TwoStage& problem, const TwoStageSolution& answer) {
  std::vector<double> out;
  for (double cost : answer.scenario_cost) out.push_back(-cost - planting_cost(problem, answer.x));
  return out;
}

// The second stage at the given acres, solved and proved.
std::vector<double> trades(const TwoStage& problem, std::size_t scenario, const std::vector<double>& x) {
  return test::solve_checked(at_first_stage(problem.scenarios[scenario], x)).value;
}

// Least CVaR: expected cost counts for nothing against it.
TwoStageSolution least_tail(double alpha) {
  auto problem = test::farmer();
  problem.lambda = 1e6;
  problem.alpha = alpha;
  return solved(problem);
}

double order_of(const TwoStage& problem, std::size_t t, const TwoStageSolution& answer) {
  REQUIRE(problem.integer[2 * t + 1] == 1);
  return answer.x[2 * t];
}

}  // namespace

TEST_CASE("The farmer's problem: profits, land and trades of every year as published") {
  const auto problem = test::farmer();
  const auto answer = solved(problem);
  CHECK(within(answer.objective, -108390, 0.01));
  CHECK(within(test::solve_whole(problem).objective, -108390, 0.01));
  const double land[] = {170, 80, 250};
  for (std::size_t c = 0; c < 3; ++c) CHECK(within(answer.x[c], land[c], 1e-4));
  const auto profit = profits(problem, answer);
  CHECK(within(profit[0], 48820, 0.01));
  CHECK(within(profit[1], 109350, 0.01));
  CHECK(within(profit[2], 167000, 0.01));
  // buy wheat, sell wheat, buy corn, sell corn, beets, beets above the quota
  const double expected[3][6] = {{0, 140, 48, 0, 4000, 0}, {0, 225, 0, 0, 5000, 0}, {0, 310, 0, 48, 6000, 0}};
  for (std::size_t s = 0; s < 3; ++s) {
    const auto t = trades(problem, s, answer.x);
    for (std::size_t j = 0; j < 6; ++j) CHECK(within(t[j], expected[s][j], 1e-4));
  }
}

TEST_CASE("The farmer's problem: each year known, the mean year planned for") {
  const auto problem = test::farmer();
  const double known[] = {59950, 118600, 167666.667}, land[3][3] = {{100, 25, 375}, {120, 80, 300}, {183.3333333, 66.6666667, 250}};
  double sum = 0;
  for (std::size_t s = 0; s < 3; ++s) {
    TwoStage one = problem;
    one.scenarios = {problem.scenarios[s]};
    one.scenarios[0].weight = 1;
    const auto answer = solved(one);
    CHECK(within(answer.objective, -known[s], 0.01));
    for (std::size_t c = 0; c < 3; ++c) CHECK(within(answer.x[c], land[s][c], 1e-4));
    sum += answer.objective / 3;
  }
  CHECK(within(sum, -115405.556, 0.01));
  const auto wait = wait_and_see(problem, 1);
  REQUIRE(wait);
  CHECK(within(*wait, sum, 1e-6));
  const auto planned = solved(mean_problem(problem));
  CHECK(within(planned.objective, -118600, 0.01));
  const auto lived = Decomposition(problem).evaluate(planned.x);
  CHECK(within(lived.objective, -107240, 0.01));
  const auto profit = profits(problem, lived);
  CHECK(within(profit[0], 55120, 0.01));
  CHECK(within(profit[1], 118600, 0.01));
  CHECK(within(profit[2], 148000, 0.01));
}

TEST_CASE("The farmer's problem: CVaR of the loss at the published land, and the land of least CVaR") {
  const auto problem = test::farmer();
  const auto answer = solved(problem);
  std::vector<double> loss;
  for (double p : profits(problem, answer)) loss.push_back(-p);
  const std::vector<double> weight(3, 1.0 / 3);
  CHECK(within(weighted_cvar(loss, weight, 0.5), -68996.667, 0.01));
  CHECK(within(weighted_cvar(loss, weight, 2.0 / 3), -48820, 0.01));
  CHECK(within(weighted_cvar(loss, weight, 0.8), -48820, 0.01));

  const auto half = least_tail(0.5);
  const double at_half[] = {100, 100, 300};
  for (std::size_t c = 0; c < 3; ++c) CHECK(within(half.x[c], at_half[c], 0.01));
  const auto profit = profits(problem, half);
  CHECK(within(profit[0], 56800, 1));
  CHECK(within(profit[1], 117500, 1));
  const double planting = planting_cost(problem, half.x);
  CHECK(within(planting + weighted_cvar(half.scenario_cost, weight, 0.5), -77033.333, 0.05));

  for (double alpha : {2.0 / 3, 0.8}) {
    const auto safe = least_tail(alpha);
    const double land[] = {100, 25, 375};
    for (std::size_t c = 0; c < 3; ++c) CHECK(within(safe.x[c], land[c], 0.01));
    CHECK(within(planting_cost(problem, safe.x) + weighted_cvar(safe.scenario_cost, weight, alpha), -59950, 0.05));
  }
}

TEST_CASE("CVaR splits the atom at the quantile (Rockafellar and Uryasev)") {
  const std::vector<double> loss = {0, 10, 20, 30, 100}, weight = {0.5, 0.2, 0.15, 0.1, 0.05};
  const double expected[4][2] = {{0.80, 45}, {0.90, 65}, {0.93, 80}, {0.95, 100}};
  for (const auto& [alpha, tail] : expected) {
    CHECK(weighted_cvar(loss, weight, alpha) == doctest::Approx(tail).epsilon(1e-9));
    // The same by the programme: a problem without decisions whose objective is the mean and, a thousand times over, the tail.
    TwoStage problem;
    problem.first.add_column(0, 1, 0, "nothing");
    problem.integer = {0};
    problem.tie_cost = {0};
    problem.lambda = 1000;
    problem.alpha = alpha;
    for (std::size_t i = 0; i < loss.size(); ++i) {
      TwoStageScenario s;
      s.weight = weight[i];
      s.fixed_cost = loss[i];
      problem.scenarios.push_back(s);
    }
    CHECK(test::solve_whole(problem).objective == doctest::Approx(13 + 1000 * tail).epsilon(1e-9));
    CHECK(solved(problem).objective == doctest::Approx(13 + 1000 * tail).epsilon(1e-9));
  }
}

TEST_CASE("Production and storage as a two-stage problem: Sailco (Winston), 78,450 and 76,200") {
  for (const auto& [third, expected] : {std::pair{75.0, 78450.0}, {70.0, 76200.0}}) {
    const double demand[] = {40, 60, third, 25};
    TwoStage problem;
    TwoStageScenario s;
    s.weight = 1;
    s.largest = 1000;
    int stock = -1;
    for (int q = 0; q < 4; ++q) {
      const int regular = problem.first.add_column(0, 40, 400, "regular");
      const double open = q == 0 ? 10 : 0;
      const int balance = s.lp.add_row(demand[q] - open, demand[q] - open, "quarter");
      s.linking.push_back({balance, regular, 1});
      s.lp.add(balance, s.lp.add_column(0, kNoBound, 450, "overtime"), 1);
      if (stock >= 0) s.lp.add(balance, stock, 1);
      stock = s.lp.add_column(0, kNoBound, 20, "stock");
      s.lp.add(balance, stock, -1);
    }
    problem.integer.assign(4, 0);
    problem.tie_cost.assign(4, 0);
    problem.scenarios.push_back(std::move(s));
    const auto answer = solved(problem);
    CHECK(within(answer.objective, expected, 0.01));
    CHECK(within(test::solve_whole(problem).objective, expected, 0.01));
    if (third != 75) continue;
    const double regular[] = {40, 40, 40, 25}, overtime[] = {0, 10, 35, 0}, kept[] = {10, 0, 0, 0};
    const auto t = trades(problem, 0, answer.x);
    for (std::size_t q = 0; q < 4; ++q) {
      CHECK(within(answer.x[q], regular[q], 1e-6));
      CHECK(within(t[2 * q], overtime[q], 1e-6));
      CHECK(within(t[2 * q + 1], kept[q], 1e-6));
    }
  }
}

TEST_CASE("Lot sizing: Hopp and Spearman 580 with its running minimum, Wagner and Whitin 864; integer solver and two stages alike") {
  const std::vector<double> demand = {20, 50, 10, 50, 50, 10, 20, 40, 20, 30};
  const double running[] = {100, 150, 170, 270, 320, 340, 400, 480, 520, 580};
  for (std::size_t n = 1; n <= demand.size(); ++n) {
    const auto problem =
        test::lot_sizing({demand.begin(), demand.begin() + static_cast<std::ptrdiff_t>(n)}, std::vector<double>(n, 100), 1);
    CHECK(within(solved(problem).objective, running[n - 1], 1e-4));
    const auto form = extensive_form(problem);
    CHECK(within(solve_integer(form.lp, form.integer, 1e-9, 100'000).objective, running[n - 1], 1e-4));
  }
  const auto problem = test::lot_sizing(demand, std::vector<double>(10, 100), 1);
  const auto orders = solved(problem);
  for (std::size_t t = 0; t < 10; ++t) CHECK(within(order_of(problem, t, orders), t == 0 ? 80 : t == 3 ? 130 : t == 7 ? 90 : 0, 1e-4));

  const std::vector<double> long_demand = {69, 29, 36, 61, 61, 26, 34, 67, 45, 67, 79, 56},
                            setup = {85, 102, 102, 101, 98, 114, 105, 86, 119, 110, 98, 114};
  const auto wagner = test::lot_sizing(long_demand, setup, 1);
  const auto plan = solved(wagner);
  CHECK(within(plan.objective, 864, 1e-4));
  CHECK(plan.gap() <= 1e-8);
  for (std::size_t t = 0; t < 12; ++t) {
    const bool ordered = t == 0 || t == 2 || t == 4 || t == 7 || t == 9 || t == 10;
    CHECK((order_of(wagner, t, plan) > 1) == ordered);
  }
  const auto form = extensive_form(wagner);
  CHECK(within(solve_integer(form.lp, form.integer, 1e-9, 100'000).objective, 864, 1e-4));
}

TEST_CASE("The newsvendor (Cachon and Terwiesch): normal demand in 1,999 quantiles, order 4,095, profit 191,787") {
  std::vector<double> demand;
  constexpr int count = 1999;
  for (int i = 0; i < count; ++i) demand.push_back(3192 + 1181 * test::normal_quantile((i + 0.5) / count));
  const auto problem = test::newsvendor(demand, 110, 180, 90);
  const auto answer = solved(problem);
  const double exact = 3192 + 1181 * test::normal_quantile(70.0 / 90);
  CHECK(within(exact, 4095.12, 0.005));
  CHECK(within(answer.x[0], exact, 4));             // a step between quantiles is 2 there
  CHECK(within(-answer.objective, 191786.7, 200));  // 0.1 %: the quantiles cut the tails
  double lost = 0;
  for (double d : demand) lost += std::max(d - answer.x[0], 0.0) / count;
  CHECK(within(lost, 151.01, 1));
}

TEST_CASE("A season of one region: hectares end at the newsvendor's critical ratio") {
  // A hectare costs 5 t x price; a tonne used saves the unmet price, a tonne too many brings feed less haul. Yield is 5 t in every year;
  // demand is what nobody knows. Critical ratio (unmet - price)/(unmet - feed).
  Season season = test::one_line(1000, 1);
  season.plan_from = Month{2027, 9};
  season.plan_to = Month{2027, 11};
  season.contracts = {test::area_contract("north", 200, 200)};
  season.contracts[0].min_ha = 0;
  season.contracts[0].max_ha = 1000;
  season.contracts[0].held = Held::farm;
  season.risk.unmet_price = 300;
  season.risk.lambda = 0;
  season.parameters.set("feed_base_per_t", 150);
  season.parameters.set("reject_haul_per_load", 0);
  constexpr int count = 1001;
  auto supply = test::supply_of(season, std::vector<double>(count, 5));
  for (int s = 0; s < count; ++s) {
    auto& scenario = supply.scenarios[static_cast<std::size_t>(s)];
    scenario.demand_factor = 0.5 + (s + 0.5) / count;  // 500 to 1,500 reference tonnes
    auto& grain = scenario.contracts[0];
    grain.qualifying_t = grain.offered_t = 1000;  // of 200 ha
    grain.band_t = {1000, 0, 0, 0};
    grain.band_n_pct.fill(1.50);
    grain.band_screenings_pct.fill(3);
    grain.band_screenings_excess_pct.fill(0);
    grain.rejected_nitrogen_t = 0;
  }
  const auto programme = test::programme_of(season, supply, Contracts::open);
  const auto answer = solved(programme.problem);
  REQUIRE(programme.columns[0].kind == ColumnKind::contract);
  const auto& grain = programme.grain[0][0];
  const double equivalent = grain.equivalent[0];
  // Used grain replaces `equivalent` reference tonnes of unmet need.
  const double ratio = (300 * equivalent - 200) / (300 * equivalent - 150);
  const double tonnes = 1000 * (0.5 + ratio) / equivalent;
  CHECK(answer.x[0] * 1000 == doctest::Approx(tonnes).epsilon(1e-3));
  CHECK(ratio == doctest::Approx((answer.x[0] * 1000 * equivalent - 500) / 1000).epsilon(1e-3));
}
