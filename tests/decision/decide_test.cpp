// What decide() says of small seasons whose answers can be worked out by hand.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "planner/decision/decision.h"
#include "planner/sourcing/plan_sourcing.h"
#include "tests/sourcing/seasons.h"

using namespace rickyard;

namespace {

struct Case {
  Season season;
  SupplyScenarios supply;
  HarvestForecast forecast;
};

// One district: 100 ha in the table, 0 to 400 may be signed until 31 March; spirit needs 300 t in each of three months; a merchant
// now at 230 and after harvest at 230 + what shortage adds. Grain is 200 per t.
Case district(const std::vector<double>& yields) {
  Case out{test::plain_season(), {}, {}};
  auto& season = out.season;
  season.plan_from = Month{2027, 11};
  season.plan_to = Month{2028, 1};
  season.risk.lambda = 0;
  season.risk.alpha = 0.8;
  for (int m = 0; m < 3; ++m) season.demand.push_back(test::need_of("spirit", add_months({2027, 11}, m), 300));
  auto row = test::area_contract("north", 100, 200);
  row.min_ha = 0;
  row.max_ha = 400;
  row.sign_by = Date(2027, 3, 31);
  season.contracts.push_back(row);
  auto merchant = test::backup("merchant", "away", 250, 230);
  merchant.decide_by = Date(2027, 8, 1);
  season.backups.push_back(merchant);
  out.supply = test::supply_of(season, yields);
  out.forecast.years = out.supply.years;
  out.forecast.weights = out.supply.year_weights;
  return out;
}

Decision decided(const Case& c, const DecisionOptions& options = {}) {
  auto result = decide(c.season, {}, c.forecast, compute_need(c.season, {}), c.supply, options, nullptr);
  REQUIRE(result.why == "");
  return result.decision;
}

// Cost of the whole plan with the contract at `scale`, by the plan's own path.
double cost_at(const Case& c, double scale) {
  const auto season = season_at(c.season, {scale});
  const auto supply = supply_at(c.season, c.supply, {scale});
  return plan_sourcing(season, {}, c.forecast, compute_need(season, {}), supply, nullptr).objective;
}

}  // namespace

TEST_CASE("The proposal is the cheapest amount, found again by planning amount after amount") {
  const auto c = district({4, 5, 6, 7, 8});
  const auto answer = decided(c);
  CHECK(answer.proved);
  CHECK(answer.open[0]);
  double best = 1e300, best_scale = 0;
  for (int i = 0; i <= 400; ++i) {
    const double cost = cost_at(c, i / 100.0);
    if (cost < best - 1e-6) {
      best = cost;
      best_scale = i / 100.0;
    }
  }
  CAPTURE(best_scale);
  CHECK(answer.expected_cost <= best + 1e-4 * best);
  CHECK(answer.expected_cost >= best - 0.002 * best);
  CHECK(std::abs(answer.scale[0] - best_scale) < 0.011);
  // What the plan says at the proposal is what the decision promised.
  CHECK(cost_at(c, answer.scale[0]) == doctest::Approx(answer.expected_cost).epsilon(1e-6));
}

TEST_CASE("Values of information are never negative, and nothing when the year is certain") {
  const auto answer = decided(district({3, 5, 6, 7, 9}));
  REQUIRE(answer.value_of_stochastic_solution);
  REQUIRE(answer.value_of_perfect_information);
  CHECK(*answer.value_of_stochastic_solution > 0);
  CHECK(*answer.value_of_perfect_information > 0);
  const auto certain = decided(district({6}));
  CHECK(*certain.value_of_stochastic_solution == doctest::Approx(0).epsilon(1e-6).scale(100));
  CHECK(*certain.value_of_perfect_information == doctest::Approx(0).epsilon(1e-6).scale(100));
}

TEST_CASE("Cost against risk: dearer and safer along the frontier, the season's own point on it") {
  auto c = district({2, 3, 5, 6, 6, 7, 7, 8, 8, 9});
  c.season.risk.lambda = 0.5;
  const auto answer = decided(c);
  REQUIRE(answer.frontier.size() >= 9);
  for (std::size_t i = 1; i < answer.frontier.size(); ++i) {
    CHECK(answer.frontier[i].lambda > answer.frontier[i - 1].lambda);
    CHECK(answer.frontier[i].expected_cost >= answer.frontier[i - 1].expected_cost - 1e-3);
    CHECK(answer.frontier[i].cvar <= answer.frontier[i - 1].cvar + 1e-3);
  }
  CHECK(answer.frontier.back().cvar < answer.frontier.front().cvar - 1);
  const auto own = std::find_if(answer.frontier.begin(), answer.frontier.end(), [](const auto& p) { return p.lambda == 0.5; });
  REQUIRE(own != answer.frontier.end());
  CHECK(own->expected_cost == doctest::Approx(answer.expected_cost).epsilon(1e-9));
  CHECK(own->cvar == doctest::Approx(answer.cvar).epsilon(1e-9));
}

TEST_CASE("One more hectare is worth the slope of the plan's own cost") {
  auto c = district({4, 5, 6, 7, 8});
  c.season.contracts[0].max_ha = 120;  // held below the best: one more saves money
  const auto answer = decided(c);
  CHECK(answer.amount[0] == doctest::Approx(120));
  REQUIRE(answer.one_more[0].more_saves);
  const double scale = answer.scale[0], step = 0.01 * scale;
  const double slope = (cost_at(c, scale) - cost_at(c, scale + step)) / (step * 100);
  CHECK(slope > 0);
  CHECK(*answer.one_more[0].more_saves == doctest::Approx(slope).epsilon(1e-4));
}

TEST_CASE("Orders ahead are an insurance: dearer in most years, cheaper in bad ones, never dearer in all") {
  auto c = district({1, 5, 6, 7, 8});
  c.season.contracts[0].min_ha = c.season.contracts[0].max_ha = 100;
  const auto answer = decided(c);
  const auto& i = answer.insurance;
  CHECK(i.ordered_t > 0);
  CHECK(i.expected_cost <= i.expected_cost_without + 1e-6);
  CHECK(i.weight_of_bad_years > 0);
  CHECK(i.saved_in_bad_years > 0);
  CHECK(i.chance_covered >= i.chance_covered_without);
}

TEST_CASE("Amounts over bootstrapped years: as many as asked, inside what may be signed") {
  DecisionOptions options;
  options.bootstraps = 12;
  const auto answer = decided(district({3, 5, 6, 7, 9}), options);
  REQUIRE(answer.stability.size() == 1);
  CHECK(answer.stability[0].p10 < answer.stability[0].p90);
  CHECK(answer.stability[0].p10 >= 0);
  CHECK(answer.stability[0].p90 <= 400);
}

TEST_CASE("Waiting: the price later is the scenarios' own, gone where at most half is left") {
  auto c = district({4, 5, 6, 7, 8});
  c.season.backups[0].decide_by.reset();
  for (std::size_t s = 0; s < 5; ++s) c.supply.scenarios[s].backups[0] = {s == 0 ? 0.4 : 1.0, 230.0 + (s == 0 ? 50.0 : 0.0)};
  const auto answer = decided(c);
  REQUIRE(answer.waiting.size() == 1);
  CHECK(answer.waiting[0].now_per_t == doctest::Approx(230));
  REQUIRE(answer.waiting[0].later_mean_per_t);
  CHECK(*answer.waiting[0].later_mean_per_t == doctest::Approx(240));
  CHECK(answer.waiting[0].chance_gone == doctest::Approx(0.2));
}

TEST_CASE("A promise out of reach is named with what can be reached") {
  auto c = district({1, 5, 6, 7, 8});
  c.season.contracts[0].min_ha = c.season.contracts[0].max_ha = 100;
  c.season.backups[0].cap_t_month = 10;
  c.season.risk.p = 0.99;
  const auto result = decide(c.season, {}, c.forecast, compute_need(c.season, {}), c.supply, {}, nullptr);
  CHECK(result.why.find("cannot be met with a chance of 0.99 (risk.p)") != std::string::npos);
  c.season.risk.p.reset();
  c.season.risk.unmet_max_t = 1;
  const auto other = decide(c.season, {}, c.forecast, compute_need(c.season, {}), c.supply, {}, nullptr);
  CHECK(other.why.find("unmet need cannot be held to 1 t") != std::string::npos);
}

TEST_CASE("Amounts other than the table's scale every tonne and the tolerance") {
  auto season = test::plain_season();
  auto row = test::area_contract("north", 100, 200);
  row.form = ContractForm::tonnage;
  row.contracted_t = 600;
  season.contracts.push_back(row);
  const auto supply = test::supply_of(season, {5, 6});
  const auto half = season_at(season, {0.5});
  CHECK(*half.contracts[0].contracted_t == doctest::Approx(300));
  CHECK(*half.contracts[0].planted_ha == doctest::Approx(50));
  CHECK(*half.contracts[0].tolerance_t == doctest::Approx(7.5));  // half of min(5 % of 600 t, 15 t)
  const auto grain = supply_at(season, supply, {0.5});
  for (std::size_t s = 0; s < 2; ++s) {
    CHECK(grain.scenarios[s].contracts[0].qualifying_t == doctest::Approx(0.5 * supply.scenarios[s].contracts[0].qualifying_t));
    CHECK(grain.scenarios[s].contracts[0].band_t[1] == doctest::Approx(0.5 * supply.scenarios[s].contracts[0].band_t[1]));
    CHECK(grain.scenarios[s].contracts[0].n_pct == supply.scenarios[s].contracts[0].n_pct);
  }
  CHECK_THROWS_AS(season_at(season, {1, 1}), std::invalid_argument);
}
