// Our linear problem against published optima (check values, section 8.2) and its tie-breaks by hand.
#include <doctest/doctest.h>

#include "planner/sourcing/lp_problem.h"

using namespace rickyard;

namespace {

// supply rows <=, demand rows >=.
LpProblem transport(const std::vector<double>& supply, const std::vector<double>& demand, const std::vector<double>& cost) {
  LpProblem lp;
  for (double s : supply) lp.add_row(-kNoBound, s, "supply");
  for (double d : demand) lp.add_row(d, kNoBound, "demand");
  for (std::size_t i = 0; i < supply.size(); ++i)
    for (std::size_t j = 0; j < demand.size(); ++j) {
      const int x = lp.add_column(0, kNoBound, cost[i * demand.size() + j], "x");
      lp.add(static_cast<int>(i), x, 1);
      lp.add(static_cast<int>(supply.size() + j), x, 1);
    }
  return lp;
}

double optimum(const LpProblem& lp) {
  const auto solution = solve_in_order(lp, {});
  REQUIRE(solution.status == LpStatus::optimal);
  return solution.stage_objective[0];
}

}  // namespace

TEST_CASE("Transport problems with published optima") {
  // Dantzig 1963 cannery, thousand $ : 153.675. Rates 90 $ per case and thousand miles.
  const double k = 0.09;
  CHECK(optimum(transport({350, 600}, {325, 300, 275}, {2.5 * k, 1.7 * k, 1.8 * k, 2.5 * k, 1.8 * k, 1.4 * k})) ==
        doctest::Approx(153.675).epsilon(1e-9));
  // Detroit and Pittsburgh to Boston and New York: 6500.
  CHECK(optimum(transport({200, 100}, {150, 150}, {30, 20, 40, 10})) == doctest::Approx(6500).epsilon(1e-9));
  // Powerco (Winston): 1020.
  CHECK(optimum(transport({35, 50, 40}, {45, 20, 30, 30}, {8, 6, 10, 9, 9, 12, 13, 7, 14, 9, 16, 5})) ==
        doctest::Approx(1020).epsilon(1e-9));
}

TEST_CASE("Production and storage: Sailco (Winston), 78,450 and with a third demand of 70 76,200") {
  for (const auto& [third, expected] : {std::pair{75.0, 78450.0}, {70.0, 76200.0}}) {
    LpProblem lp;
    const double demand[] = {40, 60, third, 25};
    int stock = -1;
    for (int q = 0; q < 4; ++q) {
      const double opening = q == 0 ? 10 : 0;
      const int balance = lp.add_row(demand[q] - opening, demand[q] - opening, "quarter");
      lp.add(balance, lp.add_column(0, 40, 400, "regular"), 1);
      lp.add(balance, lp.add_column(0, kNoBound, 450, "overtime"), 1);
      if (stock >= 0) lp.add(balance, stock, 1);
      stock = lp.add_column(0, kNoBound, 20, "stock");
      lp.add(balance, stock, -1);
    }
    CHECK(optimum(lp) == doctest::Approx(expected).epsilon(1e-9));
  }
}

TEST_CASE("Two-stage: the farmer's problem (Birge and Louveaux), expected profit 108,390 at 170, 80, 250 acres") {
  LpProblem lp;
  const int land = lp.add_row(-kNoBound, 500, "land");
  const double plant[] = {150, 230, 260}, yield[] = {2.5, 3.0, 20};
  int crop[3];
  for (int i = 0; i < 3; ++i) {
    crop[i] = lp.add_column(0, kNoBound, plant[i], "acres");
    lp.add(land, crop[i], 1);
  }
  for (double factor : {0.8, 1.0, 1.2}) {
    const double w = 1.0 / 3, need[] = {200, 240}, buy[] = {238, 210}, sell[] = {170, 150};
    for (int i = 0; i < 2; ++i) {
      const int row = lp.add_row(need[i], kNoBound, "feed");
      lp.add(row, crop[i], factor * yield[i]);
      lp.add(row, lp.add_column(0, kNoBound, w * buy[i], "buy"), 1);
      lp.add(row, lp.add_column(0, kNoBound, -w * sell[i], "sell"), -1);
    }
    const int beets = lp.add_row(0, kNoBound, "beets");
    lp.add(beets, crop[2], factor * yield[2]);
    lp.add(beets, lp.add_column(0, 6000, -w * 36, "quota"), -1);
    lp.add(beets, lp.add_column(0, kNoBound, -w * 10, "above"), -1);
  }
  const auto solution = solve_in_order(lp, {});
  REQUIRE(solution.status == LpStatus::optimal);
  CHECK(-solution.stage_objective[0] == doctest::Approx(108390).epsilon(1e-9));
  CHECK(solution.value[static_cast<std::size_t>(crop[0])] == doctest::Approx(170).epsilon(1e-6));
  CHECK(solution.value[static_cast<std::size_t>(crop[1])] == doctest::Approx(80).epsilon(1e-6));
  CHECK(solution.value[static_cast<std::size_t>(crop[2])] == doctest::Approx(250).epsilon(1e-6));
}

TEST_CASE("Tie-breaks choose inside the optimal face and never leave it") {
  // Cannery again: New York may be served from either plant at equal cost. The tie-break prefers San Diego, then Seattle.
  const double k = 0.09;
  const auto lp = transport({350, 600}, {325, 300, 275}, {2.5 * k, 1.7 * k, 1.8 * k, 2.5 * k, 1.8 * k, 1.4 * k});
  const auto from_san_diego = solve_in_order(lp, {{1, 0, 0, 0, 0, 0}});
  const auto from_seattle = solve_in_order(lp, {{0, 0, 0, 1, 0, 0}});
  CHECK(from_san_diego.value[0] == doctest::Approx(0).epsilon(1e-9));
  CHECK(from_san_diego.value[3] == doctest::Approx(325));
  CHECK(from_seattle.value[0] == doctest::Approx(50));  // Seattle has 350 - 300 left
  CHECK(from_seattle.stage_objective[0] == doctest::Approx(153.675).epsilon(1e-9));
  // A tie-break that would rather leave the face does not.
  const auto tempted = solve_in_order(lp, {{0, 100, 0, 0, -100, 0}});
  CHECK(tempted.value[4] == doctest::Approx(0).epsilon(1e-9));
}

TEST_CASE("Infeasible and unbounded are answers") {
  LpProblem lp;
  const int row = lp.add_row(5, kNoBound, "r");
  const int x = lp.add_column(0, 3, 1, "x");
  lp.add(row, x, 1);
  CHECK(solve_in_order(lp, {}).status == LpStatus::infeasible);
  lp.column_upper[0] = kNoBound;
  lp.cost[0] = -1;
  CHECK(solve_in_order(lp, {}).status == LpStatus::unbounded);
}
