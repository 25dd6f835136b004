// Contracts in the programme: forms, duties, rejects, delivery, first use of new crop, varieties.
#include <doctest/doctest.h>

#include <map>

#include "planner/sourcing/delivery.h"
#include "tests/sourcing/plan_checks.h"

using namespace rickyard;
using namespace rickyard::test;

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
  CHECK(tolerance_of(season, tonnage) == 15);                           // 15 t is less than 5 % of 500
  CHECK(with(600).firm() == doctest::Approx(515));                      // min(own, T + tol)
  CHECK(with(490).firm() == doctest::Approx(490));                      // inside the tolerance
  CHECK(with(385).firm() == doctest::Approx(385 + 0.5 * (485 - 385)));  // half made good
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

TEST_CASE("Accepted grain bears a screenings claim on what its loads lie above 4 %, and dresses by its own screenings") {
  // Trade notes, 3.4: 0.75 per t and 1 % above 4 %. The mean of 3 % is free of claim; loads above 4 % among it are not.
  Season season = one_line(100, 1);
  season.contracts = {test::area_contract("north", 100, 200)};
  auto supply = test::supply_of(season, {6});
  const auto free_of_claim = plan(season, supply);
  supply.scenarios[0].contracts[0].band_screenings_excess_pct = {0.2, 0.4, 1, 1};
  const auto claimed = plan(season, supply);
  const double excess = 0.6 * 0.2 + 0.35 * 0.4 + 0.05 * 1, own = 0.92 * 600;
  CHECK(cost(claimed, CostPart::claims) - cost(free_of_claim, CostPart::claims) == doctest::Approx(-0.75 * excess * own).epsilon(1e-6));
  season.demand = {test::need_of("blend", {2028, 1}, 100)};  // its barley leaves 42 days earlier, from 20 November on
  season.demand[0].unit = NeedUnit::malt_t;
  const auto used = [&](double screenings_pct) {
    supply.scenarios[0].contracts[0].band_screenings_pct.fill(screenings_pct);
    double t = 0;
    for (const auto& f : plan(season, supply).flows) t += f.t;
    return t;
  };
  CHECK(used(5) / used(3) == doctest::Approx(0.96 / 0.94).epsilon(1e-6));  // dressing 1 - screenings/100 - 0.01
}

TEST_CASE("A limit raised after harvest takes grain in the short year only") {
  Season season = one_line(250, 1);
  season.spec.limit_policy = LimitPolicy::after_harvest;
  season.spec.limit_n_pct = season.spec.stop_n_pct = 1.65;
  season.spec.limit_max = 1.85;
  season.contracts = {test::area_contract("north", 100, 200)};
  auto supply = test::supply_of(season, {6, 2});
  for (auto& scenario : supply.scenarios) scenario.contracts[0].band_t[3] = 10;
  const auto result = plan(season, supply);
  std::map<int, double> taken;  // scenario -> tonnes of band 3
  for (const auto& f : result.stock)
    if (result.heaps[static_cast<std::size_t>(f.heap)].band == 3) taken[f.scenario] += f.arrivals_t;
  CHECK(taken[0] == doctest::Approx(0));
  CHECK(taken[1] == doctest::Approx(10));
  check_balances(season, supply, result);
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
