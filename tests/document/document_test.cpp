// The plan document from small hand-made results: every expected figure can be checked by head.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "planner/document/build_document.h"

using namespace rickyard;

namespace {

const ParameterSpec kNoParameters[] = {{"example_share", 0.5, "1", 0, 1, "judgement", "test", "a share"}};

// One region with two contract rows, three weather years, one draw each, one line, two months.
struct Small {
  Season season{ParameterSet(kNoParameters)};
  SeasonPatch patch;
  HarvestForecast forecast;
  SupplyScenarios supply;
  Need need;
  SourcingResult sourcing;

  Small() {
    season.crop_year = 2027;
    season.as_of = Date(2027, 3, 1);
    season.spec.limit_n_pct = 1.65;
    season.spec.stop_n_pct = 1.70;
    season.risk.alpha = 0.5;
    ContractRow first;
    first.region = "north";
    first.origin = "home";
    first.contract = "north-area";
    first.planted_ha = 100;
    ContractRow second = first;
    second.contract = "north-tonnage";
    second.form = ContractForm::tonnage;
    second.contracted_t = 300;
    second.planted_ha = 50;
    season.contracts = {first, second};
    BackupRow merchant;
    merchant.source = "merchant";
    merchant.origin = "mainland";
    merchant.lead_days = 30;
    season.backups = {merchant};

    forecast.years = supply.years = {2001, 2002, 2003};
    forecast.weights = supply.year_weights = {0.25, 0.25, 0.5};
    forecast.rain_apr_jul_mm = {300, 100, 200};
    forecast.rain_mm = {900, 600, 800};
    for (int c = 0; c < 2; ++c) {
      ContractForecast row;
      row.contract = c;
      row.dates = {{213, 290, 340, 350}, {215, 292, 342, 352}, {217, 294, -1, -1}};
      row.losses = {{0, 0.1, 0, 0, 0, 0}, {0, 0.5, 0, 0, 0, 0}, {0, 0.2, 0, 0, 0, 0}};
      forecast.contracts.push_back(row);
    }
    const double qualifying[3] = {400, 100, 300};
    for (int y = 0; y < 3; ++y) {
      Scenario s;
      s.year = y;
      s.weight = supply.year_weights[static_cast<std::size_t>(y)];
      s.in_programme = true;
      for (int c = 0; c < 2; ++c) {
        ContractScenario one;
        one.harvested_ha = c == 0 ? 100 : 50;
        one.offered_t = c == 0 ? 500 : 250;
        one.yield_t_ha = 5;
        one.n_pct = c == 0 ? 1.4 : 1.7;
        one.qualifying_t = c == 0 ? qualifying[y] : 0;
        one.n_accepted_pct = c == 0 ? 1.4 : std::nan("");
        one.rejected_nitrogen_t = one.offered_t - one.qualifying_t;
        s.contracts.push_back(one);
      }
      supply.scenarios.push_back(s);
    }
    need.by_month = {{"spirit", {2027, 11}, 0, 200}, {"spirit", {2027, 12}, 0, 200}};
    sourcing.scenario_of = {0, 1, 2};
    sourcing.weight = supply.year_weights;
    sourcing.lines = {"spirit"};
    sourcing.months = {{2027, 11}, {2027, 12}};
    sourcing.intake_closed = Date(2027, 10, 31);
    sourcing.heaps = {{Heap::From::contract, 0, 0, "north n1", "home", "north-area", 2027, {}},
                      {Heap::From::backup, 0, -1, "merchant", "mainland", "merchant", 2027, {}}};
    for (int s = 0; s < 3; ++s) {
      const double own = qualifying[s] / 2;  // half of what qualifies, each month
      sourcing.flows.push_back({s, 0, 0, {2027, 11}, own, own, 1.4});
      sourcing.flows.push_back({s, 0, 0, {2027, 12}, own, own, 1.4});
    }
    sourcing.flows.push_back({1, 1, 0, {2027, 12}, 150, 150, 1.6});
    sourcing.purchases.push_back({1, 0, {2027, 12}, 150, 250, false});
    sourcing.unmet.push_back({1, 0, {2027, 11}, 150});
    sourcing.unmet.push_back({2, 0, {2027, 11}, 0.1});  // 0.025 % of need: covered
    for (int s = 0; s < 3; ++s)
      for (int part = 0; part < kCostParts; ++part)
        sourcing.costs.push_back({s, static_cast<CostPart>(part), part == 0 ? 1000.0 * (s + 1) : 0.0});
  }

  DocumentInput input() const { return {season, patch, nullptr, forecast, supply, need, sourcing, {}, {}, {}, {}, {}, "test"}; }
};

}  // namespace

TEST_CASE("Weather years are terciles of April-July rain, counted from the driest") {
  const auto years = year_blocks(Small().forecast);
  CHECK(years[0].kind == "wet");
  CHECK(years[1].kind == "dry");
  CHECK(years[2].kind == "normal");
}

TEST_CASE("A region sums its rows; what is undefined stays out of ranges") {
  const Small small;
  const auto regions = region_blocks(small.input());
  REQUIRE(regions.size() == 1);
  const auto& region = regions[0];
  CHECK(region.planted_ha == doctest::Approx(150));
  CHECK(region.offered_t.mean == doctest::Approx(750));
  CHECK(region.yield_t_ha.mean == doctest::Approx(5));
  CHECK(region.n_pct.mean == doctest::Approx((500 * 1.4 + 250 * 1.7) / 750));
  CHECK(region.n_accepted_pct.mean == doctest::Approx(1.4));
  CHECK(region.qualifying_t.mean == doctest::Approx(0.25 * 400 + 0.25 * 100 + 0.5 * 300));
  CHECK(region.rejected_by_cause_t.nitrogen == doctest::Approx(750 - region.qualifying_t.mean));
  CHECK(region.loss_t_ha.water == doctest::Approx(0.25 * 0.1 + 0.25 * 0.5 + 0.5 * 0.2));
  CHECK(region.drivers.size() == 2);
  CHECK(region.drivers[0].starts_with("nitrogen"));
}

TEST_CASE("A row that delivers nothing leaves the region's nitrogen to the others") {
  Small small;
  for (auto& scenario : small.supply.scenarios) {
    scenario.contracts[1].offered_t = 0;
    scenario.contracts[1].n_pct = std::nan("");
  }
  CHECK(region_blocks(small.input())[0].n_pct.mean == doctest::Approx(1.4));
}

TEST_CASE("Dates come back to the calendar; a stage that half of the years miss has no late date") {
  const Small small;
  const auto regions = region_blocks(small.input());
  const auto& region = regions[0];
  CHECK(region.by_year[0].sown == Date(2001, 4, 2));  // 1 September 2000 + 213 days
  CHECK_FALSE(region.by_year[2].ripe.has_value());
  CHECK(region.sown.p50.has_value());
  CHECK_FALSE(region.ripe.p90.has_value());
}

TEST_CASE("Cover: a shortage under 0.1 % of need counts as covered, and first months add up with never") {
  const Small small;
  const auto cover = cover_block(small.input());
  CHECK(cover.chance_covered == doctest::Approx(0.75));
  REQUIRE(cover.first_unmet_month.size() == 1);
  CHECK(cover.first_unmet_month[0].month == Month{2027, 11});
  CHECK(cover.first_unmet_month[0].probability == doctest::Approx(0.25));
  CHECK(cover.never + cover.first_unmet_month[0].probability == doctest::Approx(1));
  CHECK(cover.backup_t.mean == doctest::Approx(0.25 * 150));
}

TEST_CASE("The mean share of a blend is a share of tonnes, not a mean of shares") {
  const Small small;
  const auto months = month_blocks(small.input());
  REQUIRE(months.size() == 2);
  const auto& december = months[1];
  REQUIRE(december.blend.size() == 2);
  const double own = 0.25 * 200 + 0.25 * 50 + 0.5 * 150, bought = 0.25 * 150;
  CHECK(december.blend[0].share.mean == doctest::Approx(own / (own + bought)));
  CHECK(december.blend[1].share.mean == doctest::Approx(bought / (own + bought)));
  CHECK(december.blend[1].by_year_t == std::vector<double>{0, 150, 0});
  CHECK(december.n_pct.p90 > 1.4);
}

TEST_CASE("Orders fall due by their lead time, and cost is the sum of its parts") {
  const Small small;
  const auto decisions = decision_blocks(small.input());
  REQUIRE(decisions.size() == 1);
  CHECK(decisions[0].source == "merchant");
  CHECK(decisions[0].by == Date(2027, 11, 1));  // 30 days before 1 December
  CHECK(decisions[0].stage == "after harvest");
  CHECK(decisions[0].t == doctest::Approx(37.5));
  const auto purchases = purchase_blocks(small.input());
  CHECK(purchases[0].price.mean == doctest::Approx(250));  // only where something was bought
  const auto cost = cost_block(small.input());
  CHECK(cost.total.mean == doctest::Approx(0.25 * 1000 + 0.25 * 2000 + 0.5 * 3000));
  CHECK(cost.cvar == doctest::Approx(3000));
}

TEST_CASE("The document warns of what this command does not fill, and prints every caution") {
  const Small small;
  const auto document = build_document(small.input());
  CHECK(document.cautions.size() == 6);
  CHECK(std::any_of(document.warnings.begin(), document.warnings.end(),
                    [](const std::string& w) { return w.find("frontier") != std::string::npos; }));
  CHECK_FALSE(document.map.has_value());
  CHECK(document.assumptions.front().name == "example_share");
}
