// Moisture and nitrogen of blends in the sourcing programme, with the sharp test against weighting by fresh tonnes
// (check-values 6.2, 6.3; exact arithmetic).
#include <doctest/doctest.h>

#include <cmath>

#include "planner/sourcing/claims.h"
#include "tests/sourcing/plan_checks.h"

using namespace rickyard;
using namespace rickyard::test;

namespace {

bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }

// 600 t at 14.0 % moisture and 1.55 % N, 400 t at 12.0 % and 1.80 % N, for a month that needs more than they hold at 14.5 %.
Season two_lots() {
  Season season = one_line(1100, 1);
  season.stock = {stock_of("lean", "home", 2026, 600, 1.55), stock_of("rich", "home", 2026, 400, 1.80)};
  season.stock[0].moisture_pct = 14;
  season.stock[1].moisture_pct = 12;
  return season;
}

constexpr double kKept = 1 - 0.008 / 12;  // a month's storage loss, taken before use

}  // namespace

TEST_CASE("Tonnes at 14.5 %: 1,000 t at 18, 16 and 19 % are 959.064, 982.456 and 947.368 t") {
  CHECK(within(reference_tonnes(1000, 18), 959.064, 0.0005));
  CHECK(within(reference_tonnes(1000, 16), 982.456, 0.0005));
  CHECK(within(reference_tonnes(1000, 19), 947.368, 0.0005));
  CHECK(within((reference_tonnes(600, 14) + reference_tonnes(400, 12)) * 0.855, 868, 1e-9));  // dry matter of the blend below
}

TEST_CASE("A blend of everything in store has N 1.651382, not the 1.6500 of fresh tonnes") {
  const auto season = two_lots();
  const auto all = plan(season, supply_of(season, {6}));
  REQUIRE(all.status == SolveStatus::optimal);
  CHECK(within(used(all, "lean", "blend"), 600 * 0.86 / 0.855 * kKept, 1e-5));
  CHECK(within(used(all, "rich", "blend"), 400 * 0.88 / 0.855 * kKept, 1e-5));
  double t = 0, n = 0;
  for (const auto& flow : all.flows) {
    t += flow.t;
    n += flow.t * flow.n_pct;
  }
  CHECK(within(n / t, 1.651382, 5e-7));
  CHECK_FALSE(within(n / t, 1.6500, 0.001));
}

TEST_CASE("Against a ceiling of 1.65 the programme leaves 9.4 t of the rich lot, which weighting by fresh tonnes would have used") {
  Season season = two_lots();
  season.demand[0].n_ceiling_pct = 1.65;
  const auto supply = supply_of(season, {6});
  const auto result = plan(season, supply);
  REQUIRE(result.status == SolveStatus::optimal);
  const double lean = used(result, "lean", "blend"), rich = used(result, "rich", "blend");
  CHECK(within(lean, 600 * 0.86 / 0.855 * kKept, 1e-5));
  CHECK(within(rich, lean * (1.65 - 1.55) / (1.80 - 1.65), 1e-4));  // as much as the ceiling allows
  CHECK(rich < 400 * 0.88 / 0.855 * kKept - 9);
  check_balances(season, supply, result);
}
