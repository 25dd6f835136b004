// What is answered beside the decision, on figures that can be worked out by head.
#include <doctest/doctest.h>

#include "planner/decision/contract_answers.h"
#include "planner/sourcing/need.h"
#include "planner/sourcing/plan_sourcing.h"
#include "planner/supply/malting_yield.h"
#include "tests/sourcing/seasons.h"

using namespace rickyard;

namespace {

struct Case {
  Season season{test::plain_season()};
  SupplyScenarios supply;
  HarvestForecast forecast;
  Need need;

  void draw(const std::vector<double>& yields) {
    supply = test::supply_of(season, yields);
    forecast.years = supply.years;
    forecast.weights = supply.year_weights;
    need = compute_need(season, {});
  }
};

// 100 ha, 300 t asked for in each of two months; 92 % of the yield qualifies.
Case district(const std::vector<double>& yields) {
  Case out;
  out.season.plan_from = Month{2027, 11};
  out.season.plan_to = Month{2027, 12};
  for (int m = 11; m <= 12; ++m) out.season.demand.push_back(test::need_of("spirit", {2027, m}, 300));
  auto row = test::area_contract("north", 100, 200);
  row.harvested_share = 1;
  row.sign_by = Date(2027, 3, 31);
  out.season.contracts = {row};
  out.draw(yields);
  return out;
}

double qualifying(const Case& c, std::size_t scenario) { return c.supply.scenarios[scenario].contracts[0].qualifying_t; }

}  // namespace

TEST_CASE("What is asked of the crop: need and closing stock, less what lies in store") {
  auto c = district({5});
  c.season.stock = {test::stock_of("old", "home", 2026, 150, 1.5)};
  c.season.closing_t = {{"", 90}, {"home", 10}};
  const auto asked = asked_of_crop(c.season, {}, c.forecast, c.need, c.supply);
  CHECK(asked.need_t == doctest::Approx(600));
  CHECK(asked.asked_t() == doctest::Approx(550));
  CHECK(asked.asked_t(0.5) == doctest::Approx(250));
  CHECK(asked.asked_t(0) == 0);
}

TEST_CASE("Hectares needed: the scale at which own grain is enough in so many scenarios") {
  const auto c = district({4, 5, 6, 7, 8});
  const AskedOfCrop asked{600, 0, 0};
  const auto found = hectares_needed(c.season, c.supply, asked, 0.75);  // type 7 of five equal weights: the second value at 1 in 4
  REQUIRE(found);
  CHECK(found->hectares == 100);
  CHECK(found->qualifying_t == doctest::Approx(qualifying(c, 1)));
  REQUIRE(found->hectares_needed);
  CHECK(*found->hectares_needed == doctest::Approx(100 * 600 / qualifying(c, 1)));
  CHECK(found->median_surplus_t == doctest::Approx(600 * 6 / 5.0 - 600));
  CHECK(found->median_surplus_cost == doctest::Approx(found->median_surplus_t * found->surplus_cost_per_t));

  auto more = c;  // a second row that is signed already gives what it gives
  more.season.contracts.push_back(c.season.contracts[0]);
  more.season.contracts[1].sign_by = Date(2027, 1, 1);
  for (auto& scenario : more.supply.scenarios) scenario.contracts.push_back(scenario.contracts[0]);
  const auto rest = hectares_needed(more.season, more.supply, asked, 0.75);
  REQUIRE(rest->hectares_needed);
  CHECK(*rest->hectares_needed == doctest::Approx(100 * 600 / qualifying(c, 1)));

  more.season.contracts[0].sign_by = Date(2027, 1, 1);
  CHECK_FALSE(hectares_needed(more.season, more.supply, asked, 0.75));
  auto barren = c;
  for (auto& scenario : barren.supply.scenarios) scenario.contracts[0].qualifying_t = 0;
  CHECK_FALSE(hectares_needed(barren.season, barren.supply, asked, 0.75)->hectares_needed);
}

TEST_CASE("Price forms pay the same at the feed price of the plan, and each row's own form has its own terms") {
  auto c = district({5});
  auto floating = c.season.contracts[0], collar = floating;
  floating.price_form = PriceForm::feed_plus;
  floating.premium_per_t = 30;
  collar.price_form = PriceForm::collar;
  collar.premium_per_t = 30;
  collar.price_floor = 170;
  collar.price_ceiling = 210;
  c.season.contracts.insert(c.season.contracts.end(), {floating, collar});
  const auto forms = compare_price_forms(c.season);
  using Levels = PriceForms::ByLevel;
  CHECK(forms.feed_per_t == Levels{150, 180, 220});
  CHECK(forms.rows[0].fixed == Levels{200, 200, 200});
  CHECK(forms.rows[0].feed_plus == Levels{170, 200, 240});
  CHECK(forms.rows[0].collar == Levels{180, 200, 220});
  CHECK(forms.rows[1].feed_plus == Levels{180, 210, 250});
  CHECK(forms.rows[1].fixed == Levels{210, 210, 210});
  CHECK(forms.rows[2].collar == Levels{180, 210, 210});
}

TEST_CASE("Lots: each source alone and pairs, in the lots that can be bought") {
  auto c = district({5});
  auto merchant = test::backup("merchant", "away", 100, 230), vessel = test::backup("vessel", "sea", 500, 210);
  vessel.lot_t = 250;
  vessel.freight_per_t = 20;
  auto closed = test::backup("closed", "away", 100, 230);
  closed.decide_by = Date(2027, 1, 1);
  c.season.backups = {merchant, vessel, closed};
  c.draw({5});
  const double gap = 600 - qualifying(c, 0);
  const auto gaps = compare_lots(c.season, {}, c.forecast, c.need, c.supply);
  REQUIRE(gaps.size() == 2);
  CHECK(gaps[0].gap_t == doctest::Approx(gap));
  CHECK(gaps[1].gap_t == doctest::Approx(gap));
  REQUIRE(gap > 100);
  REQUIRE(gap < 200);
  // The merchant reaches it exactly; the vessel goes over; vessel lots do not fit into the gap, so no pair has two parts.
  REQUIRE(gaps[0].choices.size() == 2);
  const auto &alone = gaps[0].choices[0], &shipped = gaps[0].choices[1];
  CHECK(alone.t[0] == doctest::Approx(gap));
  CHECK(alone.grain_cost == doctest::Approx(gap * 230));
  CHECK(alone.short_t == 0);
  CHECK(shipped.t[0] == 250);
  CHECK(shipped.over_t == doctest::Approx(250 - gap));
  CHECK(shipped.grain_cost == doctest::Approx(250 * 230));
  CHECK(shipped.dominated);
  CHECK_FALSE(alone.dominated);

  c.season.backups[0].cap_t_month = 20;  // 40 t in two months: short alone, and the pair goes further over than the vessel alone
  c.draw({5});
  const auto small = compare_lots(c.season, {}, c.forecast, c.need, c.supply)[0].choices;
  REQUIRE(small.size() == 3);
  CHECK(small[0].short_t == doctest::Approx(gap - 40));
  CHECK(small[0].short_cost == doctest::Approx(600 * (gap - 40)));
  CHECK(small[2].backups == std::vector<int>{0, 1});
  CHECK(small[2].over_t == doctest::Approx(290 - gap));
  CHECK(small[2].dominated);
  CHECK_FALSE(small[0].dominated);
  CHECK_FALSE(small[1].dominated);
}

TEST_CASE("The limit ladder counts litres by the grain used for spirit, and claims as money taken off") {
  auto c = district({7});
  for (auto& row : c.season.demand) {
    row.unit = NeedUnit::spirit_lpa;
    row.amount = 60'000;
  }
  c.season.spec.limit_n_pct = 1.65;
  c.season.spec.stop_n_pct = 1.70;
  c.draw({7});
  const auto patch = patch_at_limit(c.season, {}, 1.75);
  CHECK(*patch.limit_n_pct == 1.75);
  CHECK(*patch.stop_n_pct == doctest::Approx(1.80));
  const auto sourcing = plan_sourcing(c.season, {}, c.forecast, c.need, c.supply, nullptr);
  const auto step = ladder_step(c.season, {}, c.supply, c.need, sourcing);
  CHECK(step.limit_n_pct == 1.65);
  double litres_at_reference = 0, litres = 0, claims = 0;
  const auto yield = malting_yield(c.season);
  for (const auto& flow : sourcing.flows) {
    litres += flow.t_equiv * reference_output(yield, NeedUnit::spirit_lpa);
    litres_at_reference += flow.t_equiv * reference_output(yield, NeedUnit::spirit_lpa) * 410 / (410 - 45 * (flow.n_pct - 1.5));
  }
  for (const auto& figure : sourcing.costs)
    if (figure.part == CostPart::claims) claims -= figure.amount;
  CHECK(step.litres_lost_lpa == doctest::Approx(litres_at_reference - litres));
  CHECK(step.claims == doctest::Approx(claims));
  CHECK(step.expected_cost == doctest::Approx(sourcing.objective));
  CHECK(step.qualifying_t.mean == doctest::Approx(qualifying(c, 0)));
}
