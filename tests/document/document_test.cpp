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
      // attainable, sowing, water: what is offered, 5 t/ha, and the losses
      row.losses = {{5.15, 0.05, 0.1, 0, 0, 0, 0}, {6.9, 0, 1.9, 0, 0, 0, 0}, {5.4, 0.2, 0.2, 0, 0, 0, 0}};
      row.harvest_weather = {{14, 3, 0.1, 16}, {20, 0, 0, 14}, {6, 9, 0.4, -1}};
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

// What is left of attainable after every cause and what qualifies, in millionths of a tonne: 0 where the written decimals add up.
long long remainder_of(const PlanDocument::CauseTonnes& c) {
  const auto parts = [](double t) { return std::llround(t * 1e6); };
  long long rest = parts(c.attainable) - parts(c.qualifying);
  for (double t : {c.sowing, c.water, c.waterlogging, c.frost, c.heat, c.harvest, c.nitrogen, c.screenings, c.germination, c.other})
    rest -= parts(t);
  return rest;
}

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
  CHECK(region.loss_t_ha.water == doctest::Approx(0.25 * 0.1 + 0.25 * 1.9 + 0.5 * 0.2));
  CHECK(region.drivers.size() == 2);
  CHECK(region.drivers[0].starts_with("nitrogen"));
}

TEST_CASE("Causes lead from what the season could have grown to what qualifies, year by year and on average") {
  const Small small;
  const auto region = region_blocks(small.input())[0];
  const auto& dry = region.by_year[1].causes;
  CHECK(dry.attainable == doctest::Approx(150 * 6.9));
  CHECK(dry.water == doctest::Approx(150 * 1.9));
  CHECK(dry.nitrogen == doctest::Approx(750 - 100));
  CHECK(dry.other == doctest::Approx(0).epsilon(1e-9));
  CHECK(dry.qualifying == doctest::Approx(100));
  CHECK(region.causes.attainable == doctest::Approx(150 * (0.25 * 5.15 + 0.25 * 6.9 + 0.5 * 5.4)));
  CHECK(region.causes.nitrogen == region.rejected_by_cause_t.nitrogen);
  CHECK(remainder_of(region.causes) == 0);
  for (const auto& year : region.by_year) CHECK(remainder_of(year.causes) == 0);
}

TEST_CASE("What the draws moved and what has no name ends in `other`, and the sums stay exact as written") {
  Small small;
  for (auto& scenario : small.supply.scenarios) {
    scenario.contracts[0].qualifying_t /= 3;  // no decimal figure
    scenario.contracts[0].rejected_screenings_t = 100.0 / 7;
    scenario.contracts[1].rejected_germination_t = 1e-7;
  }
  const auto region = region_blocks(small.input())[0];
  CHECK(remainder_of(region.causes) == 0);
  for (const auto& year : region.by_year) CHECK(remainder_of(year.causes) == 0);
  // 2003: 810 t attainable, 60 t lost in the field, 450 t rejected for nitrogen, 100/7 t for screenings, 100 t left.
  CHECK(region.by_year[2].causes.other == doctest::Approx(810 - 60 - 450 - 100.0 / 7 - 100).epsilon(1e-6));
}

TEST_CASE("A dry year names water, a good year what it was spared, an average region its two largest losses") {
  Small small;
  for (auto& scenario : small.supply.scenarios)  // nitrogen plays no part: all that is offered qualifies
    for (std::size_t c = 0; c < 2; ++c) {
      auto& row = scenario.contracts[c];
      const auto& losses = small.forecast.contracts[c].losses[static_cast<std::size_t>(scenario.year)];
      row.yield_t_ha = 6 - losses.sowing - losses.water;
      row.offered_t = row.qualifying_t = row.harvested_ha * row.yield_t_ha;
      row.rejected_nitrogen_t = 0;
    }
  for (auto& row : small.forecast.contracts)
    for (auto& losses : row.losses) losses.attainable = 6;
  const auto region = region_blocks(small.input())[0];
  // Means over years, t/ha: water 0.6, sowing 0.1125. 2002 lost 1.9 to water: 1.3 x 150 ha more than the mean.
  REQUIRE(region.by_year[1].drivers.size() == 1);
  CHECK(region.by_year[1].drivers[0] == "too little water: 195 t more lost than on average");
  CHECK(region.by_year[0].drivers.at(0) == "enough water: 75 t less lost than on average");
  CHECK(region.by_year[0].drivers.at(1) == "timely sowing: 9 t less lost than on average");
  REQUIRE(region.drivers.size() == 2);
  CHECK(region.drivers[0] == "too little water: 90 t a year on average, 0.60 t/ha");
  CHECK(region.drivers[1] == "late or wet sowing: 17 t a year on average, 0.11 t/ha");

  for (auto& row : small.forecast.contracts) row.losses[2].attainable = 5.2;  // and 2003 a dull one
  for (auto& row : small.supply.scenarios[2].contracts) row.offered_t = row.qualifying_t = row.harvested_ha * 4.8;
  const auto dull = region_blocks(small.input())[0];
  CHECK(dull.by_year[2].drivers.at(0) == "a dull or short season: 60 t less within reach");
  CHECK(dull.by_year[0].drivers.at(0).starts_with("enough water"));
  CHECK(dull.by_year[0].drivers.at(1) == "a bright, long season: 60 t more within reach");
}

TEST_CASE("A lost region has no causes; without weather all that is offered was attainable") {
  Small lost;
  for (auto& scenario : lost.supply.scenarios)
    for (auto& row : scenario.contracts) row = ContractScenario{};
  const auto gone = region_blocks(lost.input())[0];
  CHECK(gone.causes.attainable == 0);
  CHECK(gone.causes.other == 0);
  CHECK(gone.drivers.empty());
  CHECK(gone.by_year[1].drivers.empty());

  Small formulas;
  formulas.forecast.from_weather = false;
  for (auto& row : formulas.forecast.contracts) {
    row.losses.assign(3, {});
    row.harvest_weather.clear();
  }
  const auto drawn = region_blocks(formulas.input())[0];
  CHECK(drawn.by_year[0].causes.attainable == doctest::Approx(750));
  CHECK(drawn.by_year[0].causes.water == 0);
  CHECK(remainder_of(drawn.by_year[0].causes) == 0);
  CHECK_FALSE(drawn.harvest_weather.combine_days.has_value());
}

TEST_CASE("Harvest weather of a region: means over hectares, moisture over years that harvested") {
  const auto region = region_blocks(Small().input())[0];
  CHECK(region.by_year[0].harvest_weather.moisture_pct == doctest::Approx(16));
  CHECK_FALSE(region.by_year[2].harvest_weather.moisture_pct.has_value());
  CHECK(*region.harvest_weather.moisture_pct == doctest::Approx(15));
  CHECK(*region.harvest_weather.combine_days == doctest::Approx(0.25 * 14 + 0.25 * 20 + 0.5 * 6));
  CHECK(*region.harvest_weather.late_share == doctest::Approx(0.25 * 0.1 + 0.5 * 0.4));
}

TEST_CASE("The season says through which day its own weather is known, where any is") {
  const Small small;
  CHECK_FALSE(build_document(small.input()).season.weather_known_through.has_value());
  DocumentInput input = small.input();
  input.weather_known_through = Date(2027, 2, 28);
  CHECK(build_document(input).season.weather_known_through == Date(2027, 2, 28));
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

TEST_CASE("The limit used is raised in the years whose programme took grain above the stop") {
  Small small;
  for (const auto& used : build_document(small.input()).limit_used) CHECK(used.limit_n_pct == 1.65);
  small.season.spec.limit_policy = LimitPolicy::after_harvest;
  small.season.spec.limit_max = 1.85;
  small.sourcing.heaps.push_back({Heap::From::contract, 0, 3, "north n4", "home", "north-area", 2027, {}});
  StockFigure taken, nothing;
  taken.scenario = 1;
  taken.heap = nothing.heap = 2;
  taken.month = nothing.month = {2027, 11};
  taken.arrivals_t = 25;
  nothing.scenario = 2;
  nothing.opening_t = 1;
  small.sourcing.stock = {taken, nothing};
  const auto used = build_document(small.input()).limit_used;
  REQUIRE(used.size() == 3);
  CHECK(used[0].limit_n_pct == 1.65);
  CHECK((used[1].year == 2002 && used[1].limit_n_pct == 1.85));
  CHECK(used[2].limit_n_pct == 1.65);
}

TEST_CASE("Chances by month count each scenario, and until a month only those met in every month before") {
  Small small;
  small.sourcing.unmet.push_back({0, 0, {2027, 12}, 50});
  const auto months = build_document(small.input()).cover.by_month;
  REQUIRE(months.size() == 2);
  CHECK(months[0].chance_met == doctest::Approx(0.75));  // 0.1 t of 200 t counts as met
  CHECK(months[1].chance_met == doctest::Approx(0.75));
  CHECK(months[1].chance_met_until == doctest::Approx(0.5));
}

TEST_CASE("The store holds every heap but grain called off from farms, and is full at its capacity") {
  Small small;
  StoreRow store;
  store.capacity_t = 100;
  small.season.stores = {store};
  const auto held = [](int scenario, int heap, const Month& month, double t) {
    StockFigure figure;
    figure.scenario = scenario;
    figure.heap = heap;
    figure.month = month;
    figure.closing_t = t;
    return figure;
  };
  small.sourcing.stock = {held(0, 0, {2027, 11}, 500), held(1, 1, {2027, 11}, 100), held(2, 1, {2027, 12}, 99)};
  const auto block = build_document(small.input()).store;
  CHECK(block.capacity_t == 100);
  CHECK(block.by_month[0].chance_full == doctest::Approx(0.25));  // 500 t stand on the farm
  CHECK(block.by_month[0].stock_t.mean == doctest::Approx(25));
  CHECK(block.by_month[1].chance_full == 0);
  CHECK(block.chance_full == doctest::Approx(0.25));
  small.season.contracts[0].held = Held::store;
  CHECK(build_document(small.input()).store.chance_full == doctest::Approx(0.5));
  small.season.stores.clear();
  CHECK(build_document(small.input()).store.chance_full == 0);
}

TEST_CASE("Dependence, failure and carbon are shares and means that can be checked by head") {
  Small small;
  for (std::size_t y = 0; y < 3; ++y) small.supply.scenarios[y].contracts[1].qualifying_t = 100;
  small.season.contracts[0].kg_co2e_per_t = 300;
  small.sourcing.accounts = {{0, 0, 400, 400, 0, 0}, {1, 0, 100, 100, 0, 0}, {2, 0, 300, 300, 0, 0}};
  small.sourcing.costs[10 + static_cast<int>(CostPart::unmet)].amount = 90000;  // of scenario 1
  const auto document = build_document(small.input());
  // Means: 275 t and 100 t; in the dry year, 2002: 100 t and 100 t. Both are among the five largest.
  REQUIRE(document.dependence.largest.size() == 2);
  CHECK(document.dependence.largest[0].contract == "north-area");
  CHECK(document.dependence.largest[0].share == doctest::Approx(275.0 / 375));
  CHECK(document.dependence.share == doctest::Approx(1));
  CHECK(document.dependence.driest == "April-July rain");
  CHECK(document.failure.chance == doctest::Approx(0.25));
  CHECK(document.failure.first_month == Month{2027, 11});
  CHECK(document.failure.unmet_t == doctest::Approx(150));
  CHECK(document.failure.unmet_cost == doctest::Approx(90000));
  CHECK(document.failure.source == "north-area");
  CHECK(document.failure.source_below_t == doctest::Approx(275 - 100));
  CHECK(document.carbon.total_t_co2e == doctest::Approx(0.3 * 275));
  CHECK(document.carbon.tonnes_without_figure == doctest::Approx(0.25 * 150));  // the merchant's
}

TEST_CASE("Grain without the claim on a claim line would be counted; the words say what is missing") {
  Small small;
  DemandRow row;
  row.line = "spirit";
  row.origin_rule = "home";
  small.season.demand = {row};
  const auto topped = claim_line_blocks(small.input());
  REQUIRE(topped.size() == 1);
  CHECK(topped[0].topped_up_t == doctest::Approx(0.25 * 150));  // the flow from the mainland
  CHECK(topped[0].unmet_t.mean == doctest::Approx(0.25 * 150 + 0.5 * 0.1));
  small.sourcing.heaps[1].claims = {"home"};
  const auto kept = claim_line_blocks(small.input());
  CHECK(kept[0].topped_up_t == 0);
  CHECK(kept[0].words.find("none from anywhere else") != std::string::npos);
  CHECK(kept[0].words.find("38 t on average") != std::string::npos);
}

TEST_CASE("A plan that was stopped says so") {
  Small small;
  CHECK(build_document(small.input()).solution.status == "optimal");
  small.sourcing.status = SolveStatus::stopped;
  small.sourcing.gap = 0.02;
  const auto document = build_document(small.input());
  CHECK(document.solution.status == "stopped");
  CHECK(document.solution.gap == 0.02);
  CHECK(std::any_of(document.warnings.begin(), document.warnings.end(),
                    [](const std::string& w) { return w.find("at most 2 % dearer") != std::string::npos; }));
}

TEST_CASE("What the contract command answers stands beside the table's own amounts") {
  Small small;
  ContractAnswers answers;
  answers.listed_amount = {80, 300};
  answers.decision.lambda = 0.5;
  answers.decision.amount = {100, 300};
  answers.decision.one_more = {{12.5, 20.0}, {}};
  answers.decision.frontier = {{0, 10, 30, 0.75, 40, {90, 300}, {0}}, {0.5, 12, 20, 1, 0, {100, 300}, {250}}};
  answers.decision.stability = {{100, 90, 100, 110}, {300, 300, 300, 300}};
  answers.decision.value_of_perfect_information = 5;
  answers.price_forms.rows = {{0, 0, 0, 0, {}, {}, {}}, {1, 0, 0, 0, {}, {}, {}}};
  auto input = small.input();
  input.answers = &answers;
  const auto document = build_document(input);
  CHECK(document.contracts[0].amount == 80);
  CHECK(document.contracts[0].proposed == 100);
  REQUIRE(document.contracts[0].one_more);
  CHECK(document.contracts[0].one_more->unit == "ha");
  CHECK(document.contracts[0].one_more->value == 12.5);
  CHECK(document.contracts[1].one_more->unit == "t");
  CHECK_FALSE(document.contracts[1].one_more->value);
  REQUIRE(document.decision);
  CHECK_FALSE(document.decision->frontier[0].chosen);
  CHECK(document.decision->frontier[1].chosen);
  CHECK(document.decision->frontier[0].orders.empty());
  CHECK(document.decision->frontier[1].orders[0].source == "merchant");
  CHECK(document.decision->stability[0].p90 == 110);
  CHECK(document.cost.value_of_perfect_information == 5);
  CHECK_FALSE(document.cost.value_of_stochastic_solution);
}
