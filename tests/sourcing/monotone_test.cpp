// What must not get better when a rule is tightened, and must not get worse when it is loosened.
#include <doctest/doctest.h>

#include <cmath>
#include <map>

#include "planner/base/range.h"
#include "planner/sourcing/decomposition.h"
#include "planner/sourcing/information_value.h"
#include "tests/sourcing/plan_checks.h"
#include "tests/sourcing/whole_programme.h"

using namespace rickyard;

namespace {

constexpr unsigned kSeasons = 24;

// A random season whose hectares are a choice.
test::RandomSeason open_season(unsigned seed) {
  auto random = test::random_season(seed);
  auto& row = random.season.contracts[0];
  row.min_ha = 0.5 * *row.planted_ha;
  row.max_ha = 1.5 * *row.planted_ha;
  random.season.risk.lambda = 0.5;
  random.season.risk.alpha = 0.6;
  return random;
}

double objective(const test::RandomSeason& random) {
  return test::objective_of(test::programme_of(random.season, random.supply, Contracts::open).problem);
}

// Tie costs choose among objectives that differ by less than a thousandth per tonne; the reported one may rise by as much.
bool at_most(double value, double other) { return value <= other + 1e-6 * (1 + std::abs(other)); }

struct Measures {
  double mean = 0, tail = 0;
};

Measures measures(const TwoStage& problem, const TwoStageSolution& answer, double alpha) {
  std::vector<double> weight, cost = answer.scenario_cost;
  double first = 0;
  for (std::size_t j = 0; j < answer.x.size(); ++j) first += problem.first.cost[j] * answer.x[j];
  for (auto& c : cost) c += first;
  for (const auto& s : problem.scenarios) weight.push_back(s.weight);
  return {risk_adjusted(cost, weight, 0, alpha), weighted_cvar(cost, weight, alpha)};
}

}  // namespace

TEST_CASE("As lambda rises the expected cost never falls and CVaR never rises; as alpha rises the objective never falls") {
  int moved = 0;
  for (unsigned seed = 0; seed < kSeasons; ++seed) {
    CAPTURE(seed);
    const auto random = open_season(seed);
    const auto programme = test::programme_of(random.season, random.supply, Contracts::open);
    Decomposition solver(programme.problem);
    Measures before{-kNoBound, kNoBound};
    double first_mean = 0;
    for (double lambda : {0.0, 0.1, 0.5, 1.0, 3.0, 10.0}) {
      CAPTURE(lambda);
      solver.set_risk(lambda, 0.6);
      const auto answer = solver.solve();
      REQUIRE(answer.status == LpStatus::optimal);
      const auto now = measures(programme.problem, answer, 0.6);
      CHECK(at_most(before.mean, now.mean));
      CHECK(at_most(now.tail, before.tail));
      if (lambda == 0) first_mean = now.mean;
      before = now;
    }
    moved += before.mean > first_mean + 1 ? 1 : 0;
    double last = -kNoBound;
    for (double alpha : {0.0, 0.3, 0.6, 0.9, 0.99}) {
      CAPTURE(alpha);
      solver.set_risk(0.5, alpha);
      const auto answer = solver.solve();
      REQUIRE(answer.status == LpStatus::optimal);
      CHECK(at_most(last, answer.objective));
      last = answer.objective;
    }
  }
  CHECK(moved >= 5);  // risk changed the plan somewhere, or nothing was tested
}

TEST_CASE("As p rises the objective never falls") {
  int rose = 0;
  for (unsigned seed = 0; seed < kSeasons; seed += 2) {
    CAPTURE(seed);
    auto random = open_season(seed);
    random.season.backups.push_back(test::backup("dear", "home", 2000, 650));  // dearer than unmet need: only a promise buys it
    random.season.backups.push_back(test::backup("early", "home", 2000, 640));
    random.season.backups.back().lead_days = 200;
    for (auto& b : random.season.backups)
      if (b.source == "dear" || b.source == "early") b.n_pct = 1.40;
    random.season.share_limits.clear();
    auto supply = test::supply_of(random.season, {4, 5, 6.5});
    for (std::size_t s = 0; s < 3; ++s)
      for (std::size_t b = 0; b < 2; ++b) supply.scenarios[s].backups[b] = random.supply.scenarios[s].backups[b];
    random.supply = supply;
    double last = -kNoBound, first = 0;
    for (double p : {0.0, 0.3, 0.6, 1.0}) {
      CAPTURE(p);
      random.season.risk.p = p;
      DecompositionOptions exact;
      exact.integer_gap = 1e-7;
      const auto programme = test::programme_of(random.season, random.supply, Contracts::open);
      const auto answer = Decomposition(programme.problem, exact).solve();
      REQUIRE(answer.status == LpStatus::optimal);
      CHECK(at_most(last, answer.objective));
      if (p == 0) first = answer.objective;
      last = answer.objective;
    }
    rose += last > first + 1 ? 1 : 0;
  }
  CHECK(rose >= 5);
}

TEST_CASE("One more backup, a wider ceiling, a limit that may rise further after harvest: never dearer") {
  int cheaper[3] = {};
  for (unsigned seed = 0; seed < kSeasons; ++seed) {
    CAPTURE(seed);
    auto random = open_season(seed);
    const double before = objective(random);
    auto with_backup = random;
    with_backup.season.backups.push_back(test::backup("optional", "home", 100, 235));
    for (auto& s : with_backup.supply.scenarios) s.backups.push_back({0.8, 240});
    const double more = objective(with_backup);
    CHECK(at_most(more, before));
    cheaper[0] += more < before - 1 ? 1 : 0;

    auto wide = random;
    for (auto& row : wide.season.demand)
      if (row.n_ceiling_pct) *row.n_ceiling_pct += 0.03;
    const double wider = objective(wide);
    CHECK(at_most(wider, before));
    cheaper[1] += wider < before - 1 ? 1 : 0;

    // Band 4 is what a limit raised after harvest brings in; how much of it lies under limit_max is the supply's to say.
    auto raised = random;
    raised.season.spec.limit_policy = LimitPolicy::after_harvest;
    double last = before;
    for (double band : {0.0, 0.02, 0.05}) {
      for (auto& s : raised.supply.scenarios) s.contracts[0].band_t[3] = band * s.contracts[0].offered_t;
      const double now = objective(raised);
      CHECK(at_most(now, last));
      cheaper[2] += now < last - 1 ? 1 : 0;
      last = now;
    }
  }
  for (int n : cheaper) CHECK(n >= 3);
}

TEST_CASE("A decision moved from December to August is one for all years and never cheaper") {
  int dearer = 0;
  for (unsigned seed = 0; seed < kSeasons; ++seed) {
    CAPTURE(seed);
    auto random = open_season(seed);
    auto& source = random.season.backups[0];
    source.lead_days = 0;
    source.decide_by = Date(2027, 8, 1);
    const auto result = test::plan(random.season, random.supply);
    std::map<int, std::vector<double>> tonnes;
    for (const auto& p : result.purchases)
      if (p.backup == 0) {
        CHECK(p.first_stage);
        tonnes[month_index(p.month)].push_back(p.t);
      }
    for (const auto& [month, t] : tonnes) {
      REQUIRE(t.size() == 3);
      CHECK(t[0] == t[1]);
      CHECK(t[0] == t[2]);
    }
    // An order placed ahead is at the listed price and cap: only where the year's are the same does the decision alone differ.
    for (auto& s : random.supply.scenarios) s.backups[0] = {1, source.price_per_t.value_or(0)};
    const double early_alike = objective(random);
    source.decide_by = Date(2027, 12, 1);
    const double late_alike = objective(random);
    CHECK(at_most(late_alike, early_alike));
    dearer += early_alike > late_alike + 1 ? 1 : 0;
  }
  CHECK(dearer >= 5);
}

TEST_CASE("Knowing the year is never worth less than nothing, nor is planning for all years instead of the mean one") {
  int worth = 0, mean_costs = 0;
  for (unsigned seed = 0; seed < kSeasons; ++seed) {
    CAPTURE(seed);
    const auto random = open_season(seed);
    const auto programme = test::programme_of(random.season, random.supply, Contracts::open);
    Decomposition solver(programme.problem);
    const auto here = solver.solve();
    REQUIRE(here.status == LpStatus::optimal);
    const auto known = wait_and_see(programme.problem, 1);
    REQUIRE(known);
    CHECK(at_most(*known, here.objective));
    worth += here.objective - *known > 1 ? 1 : 0;
    // The first stage of any one year is a plan too; lived through all years it costs at least as much.
    for (const auto& s : programme.problem.scenarios) {
      TwoStage one = programme.problem;
      one.scenarios = {s};
      one.scenarios[0].weight = 1;
      const auto lived = solver.evaluate(Decomposition(one).solve().x);
      if (lived.status == LpStatus::optimal) {
        CHECK(at_most(here.objective, lived.objective));
        mean_costs += lived.objective - here.objective > 1 ? 1 : 0;
      }
    }
  }
  CHECK(worth >= 5);
  CHECK(mean_costs >= 5);
}
