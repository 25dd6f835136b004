// The programme on 200 random seasons: by decomposition, as one linear problem, and by another solver; its ties against a dense row.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <numeric>
#include <string>

#include "planner/quality/forecast_by_formulas.h"
#include "planner/sourcing/decomposition.h"
#include "planner/sourcing/plan_sourcing.h"
#include "planner/supply/make_scenarios.h"
#include "tests/sourcing/other_solver.h"
#include "tests/sourcing/seasons.h"
#include "tests/sourcing/whole_programme.h"

using namespace rickyard;

namespace {

// Files for the other solver, gone at the end.
struct Folder {
  explicit Folder(const char* name) : path(std::filesystem::temp_directory_path() / name) { std::filesystem::create_directories(path); }
  ~Folder() { std::filesystem::remove_all(path); }
  std::filesystem::path path;
};

// Some row of this kind stands at its upper bound with grain in it.
bool binds(const Programme& programme, const std::vector<double>& value, RuleKind kind) {
  const auto whole = test::whole_problem(programme);
  const auto at = test::whole_value(programme, value);
  const auto activity = test::activities(whole, at);
  std::vector<double> moved(activity.size(), 0);
  for (const auto& e : whole.entries) moved[static_cast<std::size_t>(e.row)] += std::abs(e.value) * at[static_cast<std::size_t>(e.column)];
  for (std::size_t i = 0; i < activity.size(); ++i)
    if (programme.rows[i].kind == kind && activity[i] > whole.row_upper[i] - 1e-6 && moved[i] > 0.1) return true;
  return false;
}

bool orders_between(const Programme& programme, const std::vector<double>& value) {
  const auto& first = programme.problem.first;
  for (std::size_t j = 0; j < static_cast<std::size_t>(first.columns()); ++j)
    if (programme.columns[j].kind == ColumnKind::order && value[j] > first.column_lower[j] + 1 && value[j] < first.column_upper[j] - 1)
      return true;
  return false;
}

// A month in which the claim line runs short while grain without the claim lies in store.
bool idle_beside_unmet(const Season& season, const Programme& programme, const std::vector<double>& value) {
  for (std::size_t j = 0; j < value.size(); ++j) {
    const auto& short_of = programme.columns[j];
    if (short_of.kind != ColumnKind::unmet || short_of.line != 1 || value[j] < 1) continue;
    for (std::size_t k = 0; k < value.size(); ++k) {
      const auto& kept = programme.columns[k];
      if (kept.kind == ColumnKind::stock && kept.scenario == short_of.scenario && kept.month == short_of.month && value[k] > 1 &&
          kept.heap < static_cast<int>(season.stock.size()) && season.stock[static_cast<std::size_t>(kept.heap)].origin == "away")
        return true;
    }
  }
  return false;
}

struct Second {
  LpProblem lp;
  std::vector<std::vector<double>> ties;
};

// A scenario's own problem at a first stage, with its tie-breaks.
Second second_stage(const Programme& programme, std::size_t s, const std::vector<double>& first_stage) {
  Second out{at_first_stage(programme.problem.scenarios[s], first_stage), {}};
  const int skip = programme.first_columns();
  for (const auto& stage : programme.tie_breaks)
    out.ties.emplace_back(stage.begin() + (programme.column_start[s] - skip), stage.begin() + (programme.column_start[s + 1] - skip));
  return out;
}

// Largest difference between two plans in tonnes used of a heap for a line in a month.
double blend_difference(const Programme& programme, const std::vector<double>& a, const std::vector<double>& b) {
  double worst = 0;
  for (std::size_t j = 0; j < a.size(); ++j)
    if (programme.columns[j].kind == ColumnKind::flow) worst = std::max(worst, std::abs(a[j] - b[j]));
  return worst;
}

struct Counts {
  int ceilings = 0, full = 0, shared = 0, idle = 0, between = 0;
};

void count(const test::RandomSeason& random, const Programme& programme, const std::vector<double>& value, Counts& counts) {
  counts.ceilings += binds(programme, value, RuleKind::ceiling) ? 1 : 0;
  counts.full += binds(programme, value, RuleKind::store) ? 1 : 0;
  counts.shared += binds(programme, value, RuleKind::share) ? 1 : 0;
  counts.idle += idle_beside_unmet(random.season, programme, value) ? 1 : 0;
  counts.between += orders_between(programme, value) ? 1 : 0;
}

}  // namespace

TEST_CASE("200 random seasons: one linear problem by Clp, the same by glpsol, and the decomposition agree; so do blends by month") {
  const Folder folder("rickyard-programme-reference");
  const double lambdas[] = {0, 0.2, 1};
  Counts counts;
  for (unsigned seed = 0; seed < 200; ++seed) {
    CAPTURE(seed);
    auto random = test::random_season(seed);
    random.season.risk.lambda = lambdas[seed % 3];
    random.season.risk.alpha = 0.6;  // three years: the dearest and part of the next
    const auto programme = test::programme_of(random.season, random.supply);
    const auto whole = test::solve_whole(programme.problem);
    const double tolerance = 1e-6 * std::max(1.0, std::abs(whole.objective));
    const auto theirs = test::solve_elsewhere(extensive_form(programme.problem).lp, folder.path.string(), std::to_string(seed));
    REQUIRE(theirs.optimal);
    CHECK(std::abs(whole.objective - theirs.objective) <= tolerance);
    const auto ours = Decomposition(programme.problem).solve();
    REQUIRE(ours.status == LpStatus::optimal);
    CHECK(std::abs(ours.objective + test::tie_cost(programme.problem, ours.x) - whole.objective) <= tolerance);
    CHECK(ours.bound <= ours.objective);
    CHECK(ours.gap() <= 1e-6);
    const auto value = complete_answer(programme, ours.x, 1), other = complete_answer(programme, whole.first_stage, 1);
    REQUIRE(value.size() == programme.columns.size());
    REQUIRE(other.size() == value.size());
    CHECK(blend_difference(programme, value, other) < 1e-4);
    count(random, programme, value, counts);
  }
  std::printf(
      "200 random seasons: N ceiling binds in %d, store full in %d, shared origin limit in %d, claim need unmet beside idle grain in %d, "
      "a first-stage order between its bounds in %d\n",
      counts.ceilings, counts.full, counts.shared, counts.idle, counts.between);
  CHECK(counts.ceilings >= 60);
  CHECK(counts.full >= 60);
  CHECK(counts.shared >= 60);
  CHECK(counts.idle >= 60);
  CHECK(counts.between >= 60);
}

TEST_CASE("Ties of a year are broken in order: every stage agrees with glpsol, the optimal face is neither left nor narrowed") {
  const Folder folder("rickyard-programme-face");
  const auto sum = [](const std::vector<double>& cost, const std::vector<double>& value) {
    return std::inner_product(cost.begin(), cost.end(), value.begin(), 0.0);
  };
  for (unsigned seed = 200; seed < 240; ++seed) {
    CAPTURE(seed);
    const auto random = test::random_season(seed);
    const auto programme = test::programme_of(random.season, random.supply);
    const auto second = second_stage(programme, seed % 3, test::solve_whole(programme.problem).first_stage);
    std::vector<SolvedStage> stages;
    const auto ours = solve_in_order(second.lp, second.ties, {}, &stages);
    REQUIRE(ours.status == LpStatus::optimal);
    REQUIRE(stages.size() == 4);
    for (std::size_t stage = 0; stage < stages.size(); ++stage) {
      CAPTURE(stage);
      test::check_optimal(stages[stage].problem, stages[stage].value.data(), stages[stage].dual.data());
      const auto theirs = test::solve_elsewhere(stages[stage].problem, folder.path.string(), "stage");
      REQUIRE(theirs.optimal);
      CHECK(std::abs(ours.stage_objective[stage] - theirs.objective) <= 1e-7 * std::max(1.0, std::abs(theirs.objective)));
      if (stage + 1 < stages.size()) continue;
      double worst = 0;  // the last stage has one answer
      for (std::size_t j = 0; j < ours.value.size(); ++j) worst = std::max(worst, std::abs(ours.value[j] - theirs.value[j]));
      CHECK(worst < 1e-4);
    }
    // Not left: the final plan still has the first optimum, then the second and so on.
    CHECK(sum(second.lp.cost, ours.value) == doctest::Approx(ours.stage_objective[0]).epsilon(1e-9));
    CHECK(sum(second.ties[0], ours.value) == doctest::Approx(ours.stage_objective[1]).epsilon(1e-9));
    CHECK(sum(second.ties[1], ours.value) == doctest::Approx(ours.stage_objective[2]).epsilon(1e-9));
    // Not narrowed: with the cost held by one dense row instead, glpsol finds no better second and third objective.
    LpProblem dense = second.lp;
    const int held = dense.add_row(-kNoBound, ours.stage_objective[0] + 1e-10 * std::abs(ours.stage_objective[0]), "cost");
    for (int j = 0; j < dense.columns(); ++j) dense.add(held, j, second.lp.cost[static_cast<std::size_t>(j)]);
    dense.cost = second.ties[0];
    const auto next = test::solve_elsewhere(dense, folder.path.string(), "second");
    REQUIRE(next.optimal);
    CHECK(next.objective == doctest::Approx(ours.stage_objective[1]).epsilon(1e-4));
    const int also = dense.add_row(-kNoBound, ours.stage_objective[1] + 1e-9 * (1 + std::abs(ours.stage_objective[1])), "unmet");
    for (int j = 0; j < dense.columns(); ++j) dense.add(also, j, second.ties[0][static_cast<std::size_t>(j)]);
    dense.cost = second.ties[1];
    const auto third = test::solve_elsewhere(dense, folder.path.string(), "third");
    REQUIRE(third.optimal);
    CHECK(third.objective == doctest::Approx(ours.stage_objective[2]).epsilon(1e-3));
  }
}

TEST_CASE("The same plan, bit for bit, from supply made on 1, 2 and 4 threads") {
  Season season = test::demo_sized_season();
  season.parameters.set("formula_years", 4);
  season.parameters.set("bootstrap_replicates", 10);
  const auto forecast = forecast_by_formulas(season, {});
  const auto need = compute_need(season, {});
  const auto plan_on = [&](int threads) {
    return plan_sourcing(season, {}, forecast, need, make_scenarios(season, {}, forecast, threads, nullptr), nullptr);
  };
  const auto one = plan_on(1);
  REQUIRE(one.status == SolveStatus::optimal);
  REQUIRE(one.flows.size() > 100);
  for (int threads : {2, 4}) {
    const auto many = plan_on(threads);
    REQUIRE(many.flows.size() == one.flows.size());
    bool same = many.objective == one.objective;
    for (std::size_t i = 0; i < one.flows.size(); ++i)
      same = same && one.flows[i].t == many.flows[i].t && one.flows[i].heap == many.flows[i].heap;
    CHECK(same);
  }
}
