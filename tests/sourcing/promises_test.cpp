// Promises of [risk]: need met with a chance, unmet need and carbon held on average; minimum takes if used; lots; spare grain of contracts
// whose hectares are a choice. By hand, and against every choice tried.
#include <doctest/doctest.h>

#include <cmath>

#include "planner/sourcing/carbon.h"
#include "planner/sourcing/decomposition.h"
#include "planner/sourcing/warm_lp.h"
#include "tests/sourcing/other_solver.h"
#include "tests/sourcing/plan_checks.h"
#include "tests/sourcing/whole_programme.h"

using namespace rickyard;

namespace {

TwoStageSolution solved(const TwoStage& problem, double integer_gap = 1e-8) {
  DecompositionOptions options;
  options.integer_gap = integer_gap;
  auto answer = Decomposition(problem, options).solve();
  REQUIRE(answer.status == LpStatus::optimal);
  return answer;
}

double sum_of(const Programme& programme, const std::vector<double>& value, ColumnKind kind, int scenario) {
  double sum = 0;
  for (std::size_t j = 0; j < value.size(); ++j)
    if (programme.columns[j].kind == kind && programme.columns[j].scenario == scenario) sum += value[j];
  return sum;
}

std::vector<double> answer_of(const Programme& programme, double integer_gap = 1e-9) {
  auto value = complete_answer(programme, solved(programme.problem, integer_gap).x, 1);
  REQUIRE(value.size() == programme.columns.size());
  return value;
}

// 100 t in one month; three years whose late merchant has 100, 60 and 30 t at 200, the early one any amount at 900: dearer than unmet need.
struct Short {
  Season season = test::one_line(100, 1);
  SupplyScenarios supply;
  Short() {
    season.risk.lambda = 0;
    season.backups = {test::backup("late", "home", 100, 200), test::backup("early", "home", 200, 900)};
    season.backups[0].lead_days = 0;
    season.backups[1].lead_days = 200;
    for (auto& b : season.backups) {
      b.n_pct = 1.50;
      b.screenings_pct = 3;  // one reference tonne a tonne
    }
    supply = test::supply_of(season, {6, 6, 6});
    const double cap[] = {1, 0.6, 0.3};
    for (std::size_t s = 0; s < 3; ++s) supply.scenarios[s].backups[0].cap_factor = cap[s];
  }
  Programme programme() const { return test::programme_of(season, supply); }
};

// Least objective over every set of years in which need is met, the chance kept by hand: no integers needed.
double best_choice_of_years(const Programme& programme, double p) {
  const auto scenarios = static_cast<unsigned>(programme.problem.scenarios.size());
  double best = kNoBound;
  for (unsigned choice = 0; choice < (1U << scenarios); ++choice) {
    TwoStage fixed = programme.problem;
    double chance = 0;
    for (std::size_t j = 0; j < static_cast<std::size_t>(fixed.first.columns()); ++j) {
      const auto& c = programme.columns[j];
      if (c.kind != ColumnKind::must_be_met) continue;
      const auto s = static_cast<unsigned>(c.scenario);
      fixed.first.column_lower[j] = fixed.first.column_upper[j] = (choice >> s) & 1U;
      if ((choice >> s) & 1U) chance += fixed.scenarios[s].weight;
    }
    if (chance < p - 1e-9) continue;
    const auto solution = solve_in_order(extensive_form(fixed).lp, {});
    if (solution.status == LpStatus::optimal) best = std::min(best, solution.stage_objective[0]);
  }
  return best;
}

}  // namespace

TEST_CASE("Need met with chance p, by hand: the cheapest years are met, but for a thousandth of need") {
  Short at_hand;
  // Years fall short by 0, 40 and 70 t. An early tonne costs 900 and serves all years: it saves 200 in the first and 600 in short ones.
  const double early[] = {0, 39.9, 69.9};
  const double chances[] = {1.0 / 3, 2.0 / 3, 1};
  for (std::size_t k = 0; k < 3; ++k) {
    CAPTURE(k);
    at_hand.season.risk.p = chances[k];
    const auto programme = at_hand.programme();
    const auto value = answer_of(programme);
    double ordered = 0;
    for (std::size_t j = 0; j < static_cast<std::size_t>(programme.first_columns()); ++j)
      if (programme.columns[j].kind == ColumnKind::order) ordered += value[j];
    CHECK(ordered == doctest::Approx(early[k]).epsilon(1e-6));
    const double left[] = {0, 40 - early[k], 70 - early[k]};
    for (int s = 0; s < 3; ++s)
      CHECK(sum_of(programme, value, ColumnKind::unmet, s) == doctest::Approx(std::max(left[s], 0.0)).epsilon(1e-6));
  }
}

TEST_CASE("Need met with chance p: the master's choice of years is the best of all choices tried") {
  int bound = 0;
  for (unsigned seed : {0U, 1U, 2U, 3U, 5U, 6U}) {
    CAPTURE(seed);
    auto random = test::random_season(seed);
    random.season.share_limits.clear();
    random.season.risk.lambda = seed % 2 ? 0.5 : 0;
    random.season.risk.alpha = 0.6;
    random.season.backups[0].cap_t_month = 2000;
    random.season.backups[0].price_per_t = 640;
    random.season.backups[0].n_pct = 1.40;
    random.season.backups[0].lead_days = 120;
    random.season.backups[0].origin = "home";
    for (auto& s : random.supply.scenarios) s.backups[0] = {1, 640};
    const double free = test::objective_of(test::programme_of(random.season, random.supply).problem);
    for (double p : {0.5, 0.9}) {
      random.season.risk.p = p;
      const auto programme = test::programme_of(random.season, random.supply);
      const auto answer = solved(programme.problem);
      const double best = best_choice_of_years(programme, p);
      CHECK(std::abs(answer.objective + test::tie_cost(programme.problem, answer.x) - best) <= 1e-6 * std::abs(best));
      bound += answer.objective > free + 1 ? 1 : 0;
    }
  }
  CHECK(bound >= 4);
}

TEST_CASE("Unmet need held on average, by hand: early grain until the mean of 40, 70 and nothing is 15 t") {
  Short at_hand;
  at_hand.season.risk.unmet_max_t = 15;
  const auto programme = at_hand.programme();
  const auto value = answer_of(programme);
  double mean = 0;
  for (int s = 0; s < 3; ++s) mean += sum_of(programme, value, ColumnKind::unmet, s) / 3;
  CHECK(mean == doctest::Approx(15).epsilon(1e-6));
  // (40 - y) + (70 - y) = 45: y = 32.5.
  for (std::size_t j = 0; j < static_cast<std::size_t>(programme.first_columns()); ++j)
    if (programme.columns[j].kind == ColumnKind::order) CHECK(value[j] == doctest::Approx(32.5).epsilon(1e-6));
  // And by the words of the plan.
  const auto result = test::plan(at_hand.season, at_hand.supply);
  CHECK(test::unmet(result, "blend", 1) == doctest::Approx(7.5).epsilon(1e-6));
  CHECK(test::unmet(result, "blend", 2) == doctest::Approx(37.5).epsilon(1e-6));
}

TEST_CASE("Carbon held on average, by hand: clean grain replaces as much as the ceiling asks") {
  // 100 t: dirty at 200 with 0.5 t CO2e per t, clean at 260 with 0.1. Of 30 t CO2e: 50 t each.
  Season season = test::one_line(100, 1);
  season.risk.lambda = 0;
  season.backups = {test::backup("dirty", "home", 100, 200), test::backup("clean", "home", 100, 260)};
  season.backups[0].kg_co2e_per_t = 500;
  season.backups[1].kg_co2e_per_t = 100;
  for (auto& b : season.backups) {
    b.n_pct = 1.50;
    b.screenings_pct = 3;
  }
  const auto supply = test::supply_of(season, {6, 6});
  CHECK(test::used(test::plan(season, supply), "clean 2027", "blend") == 0);
  season.risk.co2e_max_t = 30;
  const auto result = test::plan(season, supply);
  const auto in_both = [&](const char* heap) { return test::used(result, heap, "blend", 0) + test::used(result, heap, "blend", 1); };
  CHECK(in_both("clean 2027") == doctest::Approx(100).epsilon(1e-6));  // which year carries it is a tie
  CHECK(in_both("dirty 2027") == doctest::Approx(100).epsilon(1e-6));
  // On average, not in each: where one year's clean grain is dear, the other year carries more of it.
  auto uneven = supply;
  uneven.scenarios[0].backups[1].price_per_t = 400;
  const auto shifted = test::plan(season, uneven);
  CHECK(test::used(shifted, "clean 2027", "blend", 0) == doctest::Approx(0));
  CHECK(test::used(shifted, "clean 2027", "blend", 1) == doctest::Approx(100).epsilon(1e-6));
}

TEST_CASE("A minimum take if used, ahead and by year: nothing or at least the minimum, whichever is cheaper") {
  // 100 t over two months; the cheap source sells 80 t or nothing, what is too much goes to feed at 169 net.
  for (const double lead_days : {200.0, 0.0}) {
    CAPTURE(lead_days);
    Season season = test::one_line(50, 2);
    season.risk.lambda = 0;
    season.parameters.set("reject_haul_per_load", 0);
    season.backups = {test::backup("cheap", "home", 100, 200), test::backup("dear", "home", 100, 210)};
    season.backups[0].lead_days = lead_days;
    season.backups[0].min_take_kind = MinimumTake::if_used;
    for (auto& b : season.backups) {
      b.n_pct = 1.50;
      b.screenings_pct = 3;
    }
    const auto supply = test::supply_of(season, {6, 6});
    const auto taken = [&](double least) {
      season.backups[0].min_take_t = least;
      const auto result = test::plan(season, supply);
      REQUIRE(result.status == SolveStatus::optimal);
      double t = 0;
      for (const auto& p : result.purchases)
        if (p.backup == 0 && p.scenario == 0) t += p.t;
      return t;
    };
    CHECK(taken(80) == doctest::Approx(100).epsilon(1e-6));  // all of it is wanted anyway
    // 130 t: 30 t too many lose 20 each, all 100 win 10 each: still used, at the minimum.
    CHECK(taken(130) == doctest::Approx(130).epsilon(1e-6));
    // 190 t: 90 t lose 1,800, 100 t win 1,000: not used.
    CHECK(taken(190) == doctest::Approx(0));
  }
}

TEST_CASE("Lots, ahead and by year: whole multiples, and the optimum of glpsol") {
  int whole_orders = 0, integers = 0, within = 0;
  for (unsigned seed = 0; seed < 12; ++seed) {
    CAPTURE(seed);
    auto random = test::random_season(seed);
    random.season.risk.lambda = seed % 2 ? 0.4 : 0;
    random.season.risk.alpha = 0.6;
    random.season.backups[0].lot_t = 50;
    random.season.backups[1].lot_t = 120;
    if (seed % 3 == 0) {
      random.season.backups[0].min_take_kind = MinimumTake::if_used;
      random.season.backups[0].min_take_t = 150;
    }
    const auto programme = test::programme_of(random.season, random.supply);
    const auto form = extensive_form(programme.problem);
    const auto answer = solved(programme.problem, 1e-3);
    const double ours = answer.objective + test::tie_cost(programme.problem, answer.x);
    const auto theirs = test::solve_elsewhere(form.lp, "/tmp", "rickyard-lots-" + std::to_string(seed), form.integer);
    REQUIRE(theirs.optimal);
    CHECK(ours >= theirs.objective - 1e-6 * std::abs(theirs.objective));
    CHECK(ours <= theirs.objective + std::max(1e-3, answer.gap()) * (1 + std::abs(theirs.objective)));
    within += answer.gap() <= 1e-3 ? 1 : 0;
    CHECK(answer.bound <= theirs.objective + 1e-6 * std::abs(theirs.objective));
    const auto direct = solve_integer(form.lp, form.integer, 1e-8, 2'000);
    if (direct.status == LpStatus::optimal) CHECK(std::abs(direct.objective - theirs.objective) <= 1e-6 * std::abs(theirs.objective));
    const auto value = complete_answer(programme, answer.x, 1);
    REQUIRE(value.size() == programme.columns.size());
    for (std::size_t j = 0; j < value.size(); ++j) {
      const auto& c = programme.columns[j];
      if (c.kind != ColumnKind::order && c.kind != ColumnKind::purchase) continue;
      const double lots = value[j] / (c.heap == 0 ? 50 : 120);
      CHECK(std::abs(lots - std::round(lots)) < 1e-6);
      whole_orders += lots > 0.5 ? 1 : 0;
    }
    for (char i : form.integer) integers += i;
  }
  CHECK(whole_orders >= 20);
  CHECK(integers >= 100);
  CHECK(within >= 11);  // a search that ends early says so by its gap
}

TEST_CASE("Spare grain grows with the contract: at most what is signed of it") {
  // 4.5 t/ha must be taken of 6; the rest may. Hectares between 50 and 150 of 100: the line needs 700 t and nothing else sells.
  Season season = test::one_line(700, 1);
  season.risk.lambda = 0;
  season.contracts = {test::area_contract("north", 100, 200)};
  season.contracts[0].form = ContractForm::area_capped;
  season.contracts[0].cap_t_ha = 4.5;
  season.contracts[0].min_ha = 50;
  season.contracts[0].max_ha = 150;
  auto supply = test::supply_of(season, {6});
  auto& grain = supply.scenarios[0].contracts[0];
  grain.band_n_pct.fill(1.50);
  for (const double most : {150.0, 120.0}) {
    season.contracts[0].max_ha = most;
    const auto programme = test::programme_of(season, supply, Contracts::open);
    const auto value = answer_of(programme);
    const double qualifying = grain.qualifying_t;  // of 100 ha
    double spare = -1;
    for (std::size_t j = 0; j < value.size(); ++j)
      if (programme.columns[j].kind == ColumnKind::over_cap) spare = value[j];
    REQUIRE(spare >= 0);
    CHECK(spare <= value[0] + 1e-9);
    const double taken = value[0] * 450 + spare * (qualifying - 450);
    // 700 t is 1.268 times all grain of 100 ha; 120 ha have 662 t, all of it taken, 38 t stay unmet.
    const double had = most == 150 ? 700 : 1.2 * qualifying;
    CHECK(taken * programme.grain[0][0].equivalent[0] ==
          doctest::Approx(most == 150 ? 700 : had * programme.grain[0][0].equivalent[0]).epsilon(1e-6));
    if (most == 120) CHECK(spare == doctest::Approx(1.2).epsilon(1e-9));
  }
}
