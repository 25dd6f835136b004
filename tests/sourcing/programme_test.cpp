// The sourcing programme on seasons small enough to follow by hand, and its refusals.
#include <doctest/doctest.h>

#include <map>

#include "tests/sourcing/plan_checks.h"

using namespace rickyard;
using namespace rickyard::test;

TEST_CASE("A plan by hand: old crop first, then the cheaper backup up to its cap, the rest unmet") {
  Season season = one_line(100, 1);
  season.stock = {test::stock_of("old", "home", 2026, 30, 1.5)};
  season.backups = {test::backup("dear", "home", 50, 230), test::backup("cheap", "away", 40, 200)};
  season.backups[1].freight_per_t = 10;
  const auto supply = test::supply_of(season, {6});
  const auto result = plan(season, supply);
  REQUIRE(result.status == SolveStatus::optimal);
  check_balances(season, supply, result);
  CHECK(used(result, "old", "blend") == doctest::Approx(30 * (1 - 0.008 / 12)).epsilon(1e-8));  // a month's loss first
  CHECK(used(result, "cheap 2027", "blend") == doctest::Approx(40));
  CHECK(used(result, "dear 2027", "blend") == doctest::Approx(100 - 40 - 30 * (1 - 0.008 / 12)).epsilon(1e-8));
  CHECK(cost(result, CostPart::freight) == doctest::Approx(400));
  CHECK(cost(result, CostPart::purchases) == doctest::Approx(40 * 200 + 230 * (60 - 30 * (1 - 0.008 / 12))).epsilon(1e-8));
  CHECK(result.unmet.empty());
}

TEST_CASE("Unmet need is priced and reported, and the year's cost follows from its parts") {
  Season season = one_line(100, 2);
  season.backups = {test::backup("only", "home", 60, 200)};
  const auto supply = test::supply_of(season, {6});
  const auto result = plan(season, supply);
  CHECK(unmet(result, "blend") == doctest::Approx(80));
  CHECK(cost(result, CostPart::unmet) == doctest::Approx(80 * 600));
  CHECK(result.objective == doctest::Approx(80 * 600 + 120 * 200));
}

TEST_CASE("Lower spirit yield of high-N grain takes more tonnes to close the need") {
  Season season = one_line(0, 1);
  season.demand.clear();
  DemandRow row;
  row.line = "spirit";
  row.amount = 31658;  // about 100 t of reference barley
  season.demand = {row};
  season.backups = {test::backup("rich", "home", 500, 200)};
  season.backups[0].n_pct = 1.80;
  season.backups[0].screenings_pct = 3;
  const auto supply = test::supply_of(season, {6});
  const auto result = plan(season, supply);
  const double need = compute_need(season, {}).barley_t;
  // e / e_ref = (410 - 45 x 0.30)/410; dressing 0.96 both.
  CHECK(used(result, "rich 2027", "spirit") == doctest::Approx(need * 410 / (410 - 13.5)).epsilon(1e-8));
  check_balances(season, supply, result);
}

TEST_CASE("A nitrogen ceiling holds for the blend of a line and month") {
  Season season = one_line(100, 1);
  season.demand[0].n_ceiling_pct = 1.55;
  season.backups = {test::backup("rich", "away", 500, 150), test::backup("lean", "home", 500, 250)};
  season.backups[0].n_pct = 1.65;
  season.backups[1].n_pct = 1.45;
  const auto result = plan(season, test::supply_of(season, {6}));
  CHECK(used(result, "rich 2027", "blend") == doctest::Approx(50).epsilon(1e-7));
  CHECK(used(result, "lean 2027", "blend") == doctest::Approx(50).epsilon(1e-7));
}

TEST_CASE("M4: a claim line never takes another origin, and is filled first by claim grain") {
  Season season = one_line(100, 1);
  season.demand.push_back(test::need_of("single", {2027, 11}, 80));
  season.demand[1].origin_rule = "home";
  season.stock = {test::stock_of("claimed", "home", 2026, 60, 1.5), test::stock_of("idle", "away", 2026, 500, 1.5)};
  const auto supply = test::supply_of(season, {6});
  const auto result = plan(season, supply);
  CHECK(used(result, "idle", "single") == 0);
  CHECK(used(result, "claimed", "single") == doctest::Approx(60 * (1 - 0.008 / 12)));
  CHECK(used(result, "claimed", "blend") == 0);
  CHECK(unmet(result, "single") == doctest::Approx(80 - 60 * (1 - 0.008 / 12)).epsilon(1e-7));
  CHECK(unmet(result, "blend") == 0);
  check_balances(season, supply, result);
}

TEST_CASE("Scarce grain goes to the claim line first, and late months run short before early ones") {
  Season season = one_line(100, 2);
  for (int m = 0; m < 2; ++m) {
    season.demand.push_back(test::need_of("single", add_months({2027, 11}, m), 100));
    season.demand.back().origin_rule = "home";
  }
  season.parameters.set("store_loss_pct_year", 0);
  season.parameters.set("storage_cost_per_t_month", 0);
  season.parameters.set("interest_pct_year", 0);
  season.stock = {test::stock_of("home", "home", 2026, 230, 1.5)};
  const auto result = plan(season, test::supply_of(season, {6}));
  CHECK(unmet(result, "single") == 0);
  CHECK(unmet(result, "blend") == doctest::Approx(170));
  double late = 0;
  for (const auto& u : result.unmet)
    if (u.month == Month{2027, 12}) late += u.t_equiv;
  CHECK(late == doctest::Approx(100));
}

TEST_CASE("A share limit caps one origin among all that is used in a month") {
  Season season = one_line(100, 2);
  season.backups = {test::backup("abroad", "abroad", 500, 150), test::backup("home", "home", 500, 250)};
  season.share_limits = {{"abroad", "", 0.3}};
  const auto result = plan(season, test::supply_of(season, {6}));
  CHECK(used(result, "abroad 2027", "blend") == doctest::Approx(60).epsilon(1e-7));
  CHECK(used(result, "home 2027", "blend") == doctest::Approx(140).epsilon(1e-7));
}

TEST_CASE("Orders due before intake closes are one amount for all years; later ones follow the year") {
  Season season = one_line(100, 4);
  season.contracts = {test::area_contract("north", 60, 200)};
  season.backups = {test::backup("early", "home", 100, 205), test::backup("late", "home", 100, 220)};
  season.backups[0].lead_days = 200;
  season.backups[1].lead_days = 0;
  season.stock = {};
  const auto supply = test::supply_of(season, {4, 6, 7});
  const auto result = plan(season, supply);
  std::map<std::pair<int, int>, std::vector<double>> by_order;
  bool later = false;
  for (const auto& p : result.purchases) {
    CHECK(p.first_stage == (p.backup == 0));  // 200 days ahead all fall due before 31 October, none without lead does
    if (p.first_stage) by_order[{p.backup, month_index(p.month)}].push_back(p.t);
    later = later || !p.first_stage;
  }
  CHECK(later);
  for (const auto& [order, amounts] : by_order) {
    CHECK(amounts.size() == 3);
    for (double t : amounts) CHECK(t == amounts[0]);
  }
  check_balances(season, supply, result);
}

TEST_CASE("Closing stock is kept by claim and a shortage of it is priced like unmet need") {
  Season season = one_line(10, 1);
  season.stock = {test::stock_of("home", "home", 2027, 100, 1.5), test::stock_of("away", "away", 2027, 100, 1.5)};
  season.closing_t = {{"", 50}, {"home", 120}};
  const auto supply = test::supply_of(season, {6});
  const auto result = plan(season, supply);
  const double keeps = 1 - 0.008 / 12;
  // 10 t used from away grain, home grain kept whole: home short by 120 - 100 x keeps; the total of 170 holds with that shortage counted.
  CHECK(used(result, "away", "blend") == doctest::Approx(10));
  CHECK(cost(result, CostPart::unmet) == doctest::Approx(600 * (120 - 100 * keeps)).epsilon(1e-6));
  REQUIRE(result.warnings.size() == 1);
  CHECK(result.warnings[0].find("closing stock of home is 20 t short of 120 t") == 0);
}

TEST_CASE("Grain past its age is not used") {
  Season season = one_line(10, 2);
  season.stock = {test::stock_of("ancient", "home", 2025, 100, 1.5)};
  const auto result = plan(season, test::supply_of(season, {6}));  // October 2025 + 18 months = April 2027
  CHECK(used(result, "ancient", "blend") == 0);
  CHECK(unmet(result, "blend") == doctest::Approx(20));
}

TEST_CASE("Currency, moisture and price rises: what a tonne bought costs") {
  Season season = one_line(100, 2);
  season.backups = {test::backup("abroad", "abroad", 500, 100)};
  season.backups[0].currency = "EUR";
  season.backups[0].moisture_pct = 10;
  season.backups[0].freight_per_t = 20;
  season.prices = {{{}, {2027, 11}, {}, {}, {}, "EUR", 0.8}, {{}, {2027, 12}, {}, {}, {}, "EUR", 0.9}};
  auto supply = test::supply_of(season, {6});
  supply.scenarios[0].backups[0].price_per_t = 0.85 * 100 + 20;  // listed 100 at the mean rate and a rise of 20
  const auto result = plan(season, supply);
  const double moist = 0.855 / 0.9;
  for (const auto& p : result.purchases) {
    if (p.first_stage) continue;
    CHECK(p.price_per_t == doctest::Approx((100 * (p.month == Month{2027, 11} ? 0.8 : 0.9) + 20) * moist));
  }
  CHECK(cost(result, CostPart::freight) > 0);
}

TEST_CASE("Hard rules that contradict are named with month and tonnes") {
  SUBCASE("the minimum take is more than the seller can deliver") {
    Season season = one_line(100, 2);
    season.backups = {test::backup("merchant", "home", 60, 200)};
    season.backups[0].min_take_kind = MinimumTake::standing;
    season.backups[0].min_take_t = 200;
    const auto result = plan(season, test::supply_of(season, {6}));
    CHECK(result.status == SolveStatus::infeasible);
    CHECK(result.why ==
          "the minimum take of merchant exceeds what it can deliver or the plan can hold in the season by 80 t (weather year 2001)");
  }
  SUBCASE("grain that must be taken finds neither room nor buyer") {
    Season season = one_line(100, 2);
    season.plan_from = Month{2027, 8};
    season.contracts = {test::area_contract("north", 200, 200)};
    season.contracts[0].held = Held::store;
    StoreRow store;
    store.store = "main";
    store.capacity_t = 300;
    season.stores = {store};
    season.parameters.set("feed_cap_t_month", 0);
    const auto result = plan(season, test::supply_of(season, {6}));
    CHECK(result.status == SolveStatus::infeasible);
    CHECK(result.why.find("t (weather year 2001)") != std::string::npos);
    CHECK((result.why.find("exceeds the room in store") != std::string::npos || result.why.find("outlet feed") != std::string::npos));
    CHECK(result.why.find(" in 202") != std::string::npos);
  }
}

TEST_CASE("More heaps than bins is a warning with its month") {
  Season season = one_line(10, 2);
  season.stock = {test::stock_of("a", "home", 2026, 100, 1.5), test::stock_of("b", "away", 2026, 100, 1.5),
                  test::stock_of("c", "away", 2026, 100, 1.6)};
  season.closing_t = {{"", 200}};
  StoreRow store;
  store.store = "main";
  store.capacity_t = 1000;
  store.bins = 1;
  season.stores = {store};
  const auto result = plan(season, test::supply_of(season, {6}));
  REQUIRE_FALSE(result.warnings.empty());
  CHECK(result.warnings[0].find("in 2027-11 up to") == 0);
}
