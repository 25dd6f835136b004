// The sourcing programme on seasons small enough to follow by hand, the identities of its accounts, and its refusals.
#include <doctest/doctest.h>

#include <cmath>
#include <map>

#include "planner/sourcing/delivery.h"
#include "planner/sourcing/plan_sourcing.h"
#include "planner/sourcing/programme.h"
#include "tests/sourcing/seasons.h"

using namespace rickyard;

namespace {

SourcingResult plan(const Season& season, const SupplyScenarios& supply, const SeasonPatch& patch = {}) {
  HarvestForecast forecast;
  forecast.years = supply.years;
  forecast.weights = supply.year_weights;
  return plan_sourcing(season, patch, forecast, compute_need(season, patch), supply, nullptr);
}

double cost(const SourcingResult& result, CostPart part, int scenario = 0) {
  double sum = 0;
  for (const auto& c : result.costs)
    if (c.part == part && c.scenario == scenario) sum += c.amount;
  return sum;
}

double used(const SourcingResult& result, const std::string& heap, const std::string& line, int scenario = 0) {
  double t = 0;
  for (const auto& f : result.flows)
    if (f.scenario == scenario && result.heaps[static_cast<std::size_t>(f.heap)].name == heap && result.lines[static_cast<std::size_t>(f.line)] == line) t += f.t;
  return t;
}

double unmet(const SourcingResult& result, const std::string& line, int scenario = 0) {
  double t = 0;
  for (const auto& u : result.unmet)
    if (u.scenario == scenario && result.lines[static_cast<std::size_t>(u.line)] == line) t += u.t_equiv;
  return t;
}

// Every balance the design promises, to 1e-6 t.
void check_balances(const Season& season, const SupplyScenarios& supply, const SourcingResult& result, const SeasonPatch& patch = {}) {
  std::map<std::tuple<int, int, int>, double> covered;  // scenario, month, line
  std::map<std::tuple<int, int, int>, double> used_by_heap;
  for (const auto& f : result.flows) {
    covered[{f.scenario, month_index(f.month), f.line}] += f.t_equiv;
    used_by_heap[{f.scenario, month_index(f.month), f.heap}] += f.t;
    CHECK(f.t > 0);
  }
  for (const auto& u : result.unmet) covered[{u.scenario, month_index(u.month), u.line}] += u.t_equiv;
  const auto need = compute_need(season, patch);
  for (std::size_t s = 0; s < result.weight.size(); ++s)
    for (std::size_t i = 0; i < need.by_month.size(); ++i) {
      const double asked = need.by_month[i].reference_t * supply.scenarios[static_cast<std::size_t>(result.scenario_of[s])].demand_factor;
      const double got = covered[{static_cast<int>(s), month_index(need.by_month[i].month), static_cast<int>(i % result.lines.size())}];
      CHECK(std::abs(asked - got) < 1e-6);
    }
  double total_used = 0, stock_used = 0;
  for (const auto& f : result.stock) {
    CHECK(std::abs(f.opening_t + f.arrivals_t - f.used_t - f.lost_t - f.sold_t - f.closing_t) < 1e-6);
    CHECK(f.closing_t >= 0);
    CHECK(f.sold_t >= 0);
    const auto it = used_by_heap.find({f.scenario, month_index(f.month), f.heap});
    CHECK(std::abs(f.used_t - (it == used_by_heap.end() ? 0 : it->second)) < 1e-6);
    stock_used += f.used_t;
  }
  for (const auto& f : result.flows) total_used += f.t;
  CHECK(total_used == doctest::Approx(stock_used).epsilon(1e-9));
  double expected = 0;
  for (const auto& c : result.costs) expected += result.weight[static_cast<std::size_t>(c.scenario)] * c.amount;
  CHECK(expected == doctest::Approx(result.objective).epsilon(1e-12));
}

Season one_line(double barley_t, int months) {
  Season season = test::plain_season();
  season.plan_from = Month{2027, 11};
  season.plan_to = add_months({2027, 11}, months - 1);
  for (int m = 0; m < months; ++m) season.demand.push_back(test::need_of("blend", add_months({2027, 11}, m), barley_t));
  return season;
}

}  // namespace

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
  CHECK(cost(result, CostPart::purchases) == doctest::Approx(40 * 200 + 230 * (60 - 30 * (1 - 0.008 / 12) )).epsilon(1e-8));
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

TEST_CASE("New crop serves only the days after its dormancy, in its first month") {
  Season season = test::plain_season();
  season.plan_from = Month{2027, 10};
  season.plan_to = Month{2027, 11};
  season.demand = {test::need_of("blend", {2027, 10}, 310), test::need_of("blend", {2027, 11}, 300)};
  season.contracts = {test::area_contract("north", 500, 200)};
  const auto supply = test::supply_of(season, {6});
  const auto result = plan(season, supply);
  // Harvest 25 August + 56 days = 20 October: 12 of 31 days.
  double october = 0;
  for (const auto& f : result.flows)
    if (f.month == Month{2027, 10}) october += f.t_equiv;
  CHECK(october == doctest::Approx(120));
  CHECK(unmet(result, "blend") == doctest::Approx(190));
  check_balances(season, supply, result);
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
    CHECK(p.first_stage == (p.backup == 0 || p.month == Month{2027, 11} ? p.first_stage : false));
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

TEST_CASE("Contract forms: what each brings and what is short") {
  Season season = test::plain_season();
  ContractRow tonnage = test::area_contract("north", 100, 200);
  tonnage.form = ContractForm::tonnage;
  tonnage.contracted_t = 500;
  tonnage.growers = 1;
  ContractScenario grain;
  grain.harvested_ha = 100;
  const auto with = [&](double own) {
    grain.qualifying_t = own;
    grain.band_t = {0.6 * own, 0.4 * own, 0, 0};
    return delivery(season, tonnage, grain);
  };
  CHECK(tolerance_of(season, tonnage) == 15);                            // 15 t is less than 5 % of 500
  CHECK(with(600).firm() == doctest::Approx(515));                       // min(own, T + tol)
  CHECK(with(490).firm() == doctest::Approx(490));                       // inside the tolerance
  CHECK(with(385).firm() == doctest::Approx(385 + 0.5 * (485 - 385)));   // half made good
  CHECK(with(385).short_t == doctest::Approx(50));
  CHECK(with(0).firm_t[1] == doctest::Approx(242.5));
  ContractRow capped = test::area_contract("north", 100, 200);
  capped.form = ContractForm::area_capped;
  capped.cap_t_ha = 4;
  grain.qualifying_t = 500;
  grain.band_t = {300, 200, 0, 0};
  const auto d = delivery(season, capped, grain);
  CHECK(d.firm() == doctest::Approx(400));
  CHECK(d.over_cap() == doctest::Approx(100));
  CHECK(d.over_cap_t[0] == doctest::Approx(60));
}

TEST_CASE("Tonnage without making good costs what an area contract costs, in every year short of T - tolerance") {
  // Design, section 8: made_good 0 and equal price; nothing is settled where spot stands at the contract price or settled_share is 0.
  for (const double settled : {0.0, 1.0}) {
    Season area = one_line(200, 6);
    area.contracts = {test::area_contract("north", 100, 200)};
    area.backups = {test::backup("merchant", "home", 300, 225)};
    area.parameters.set("feed_base_per_t", 180);  // spot = 180 + 20 = the contract price; no shortage in these scenarios
    Season tonnage = area;
    tonnage.contracts[0].form = ContractForm::tonnage;
    tonnage.contracts[0].contracted_t = 700;
    tonnage.contracts[0].made_good = 0;
    tonnage.contracts[0].settled_share = settled;
    const auto a = plan(area, test::supply_of(area, {4, 5, 6})), t = plan(tonnage, test::supply_of(tonnage, {4, 5, 6}));
    CHECK(t.objective == doctest::Approx(a.objective).epsilon(1e-9));
    for (std::size_t s = 0; s < 3; ++s) {
      CHECK(t.accounts[s].cost == doctest::Approx(a.accounts[s].cost).epsilon(1e-9));
      CHECK(t.accounts[s].accepted_t == doctest::Approx(a.accounts[s].accepted_t).epsilon(1e-9));
    }
  }
  // A year of shortage settles: spot 60 dearer, half of the missing tonnes' difference comes back.
  Season season = one_line(200, 6);
  season.contracts = {test::area_contract("north", 100, 200)};
  season.contracts[0].form = ContractForm::tonnage;
  season.contracts[0].contracted_t = 700;
  season.contracts[0].made_good = 0;
  season.backups = {test::backup("merchant", "home", 300, 225)};
  auto supply = test::supply_of(season, {4});
  supply.scenarios[0].home_shortage = 0.5;  // 1.2 x 50 = 60
  const auto result = plan(season, supply);
  const double own = 0.92 * 100 * 4, missing = 700 - 15 - own;
  // Bands at 1.67 bear a claim of 2 per t on 5 % of the grain.
  CHECK(result.accounts[0].cost == doctest::Approx(own * 200 - 0.05 * own * 2 - missing * 0.5 * 60).epsilon(1e-7));
}

TEST_CASE("Area contracts must be taken: surplus is sold for feed less haul, near misses to their outlet first") {
  Season season = one_line(50, 2);
  season.contracts = {test::area_contract("north", 100, 200)};
  OutletRow outlet;
  outlet.outlet = "brewing";
  outlet.n_min_pct = 1.55;
  outlet.n_max_pct = 1.85;
  outlet.price_per_t = 190;
  outlet.cap_t_month = 50;
  season.outlets = {outlet};
  const auto supply = test::supply_of(season, {6});
  const auto result = plan(season, supply);
  check_balances(season, supply, result);
  double sold = 0, closing = 0;
  for (const auto& f : result.stock) {
    sold += f.sold_t;
    if (f.month == Month{2027, 12}) closing += f.closing_t;
  }
  CHECK(closing == doctest::Approx(0));
  CHECK(sold == doctest::Approx(0.92 * 600 - 100).epsilon(1e-7));
  // 100 t at 190 to the outlet, the rest at 180 less 300/28.
  CHECK(cost(result, CostPart::outlets) == doctest::Approx(-(100 * 190 + (sold - 100) * (180 - 300.0 / 28))).epsilon(1e-7));
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

TEST_CASE("Rejected grain bought at feed price is a heap of its own, sold in its month") {
  Season season = one_line(100, 3);
  season.plan_from = Month{2027, 8};
  season.contracts = {test::area_contract("north", 100, 200)};
  season.contracts[0].reject_rule = RejectRule::feed_price;
  const auto supply = test::supply_of(season, {6});
  const auto result = plan(season, supply);
  CHECK(cost(result, CostPart::rejects) == doctest::Approx(48 * 180));
  CHECK(result.accounts[0].delivered_t == doctest::Approx(600));
  CHECK(result.accounts[0].accepted_t == doctest::Approx(552));
  check_balances(season, supply, result);
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
    CHECK(result.why == "the minimum take of merchant exceeds what it can deliver or the plan can hold in the season by 80 t (weather year 2001)");
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
  season.stock = {test::stock_of("a", "home", 2026, 100, 1.5), test::stock_of("b", "away", 2026, 100, 1.5), test::stock_of("c", "away", 2026, 100, 1.6)};
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

TEST_CASE("A variety without approval serves no line, and a variety over its share is named") {
  Season season = one_line(50, 1);
  season.contracts = {test::area_contract("north", 100, 200), test::area_contract("south", 20, 200)};
  season.contracts[0].variety = "heron";
  season.contracts[1].variety = "plover";
  VarietyRow heron, plover;
  heron.variety = "heron";
  heron.approved_to = 2026;
  plover.variety = "plover";
  plover.share_cap = 0.1;
  season.varieties = {heron, plover};
  const auto supply = test::supply_of(season, {6});
  const auto result = plan(season, supply);
  REQUIRE(result.warnings.size() == 2);
  CHECK(result.warnings[0] == "variety heron of contract north-area is not approved for crop 2027: its grain serves no line");
  CHECK(result.warnings[1] == "variety plover stands on 17 % of the contracted hectares, over its cap of 10 %");
  for (const auto& f : result.flows) CHECK(result.heaps[static_cast<std::size_t>(f.heap)].source == "south-area");
  CHECK_FALSE(result.flows.empty());
}

TEST_CASE("Delivery shares: a run that ends in the month of harvest belongs to the next summer") {
  Season season = test::plain_season();
  season.plan_from = Month{2027, 8};
  season.plan_to = Month{2028, 8};
  season.demand = {test::need_of("blend", {2027, 11}, 1)};
  season.contracts = {test::area_contract("north", 100, 200)};
  const auto arrivals = [&](std::initializer_list<int> months) {
    std::array<double, 12> shares{};
    for (int m : months) shares[static_cast<std::size_t>(m - 1)] = 1.0 / static_cast<double>(months.size());
    season.contracts[0].delivery_share = shares;
    std::map<Month, double> t;
    for (const auto& f : plan(season, test::supply_of(season, {6})).stock) t[f.month] += f.arrivals_t;
    return t;
  };
  auto summer = arrivals({5, 6, 7, 8});
  CHECK(summer[{2027, 8}] == 0);
  CHECK(summer[{2028, 5}] == doctest::Approx(138).epsilon(1e-6));
  CHECK(summer[{2028, 8}] == doctest::Approx(138).epsilon(1e-6));
  auto harvest = arrivals({8, 9});
  CHECK(harvest[{2027, 8}] == doctest::Approx(276).epsilon(1e-6));
  CHECK(harvest[{2027, 9}] == doctest::Approx(276).epsilon(1e-6));
  CHECK(harvest[{2028, 8}] == 0);
}
