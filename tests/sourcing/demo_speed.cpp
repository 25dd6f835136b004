// Times the whole chain on a season of the demo's size. Run by hand: it prints, it does not judge.
#include <chrono>
#include <cstdio>
#include <cstdlib>

#include "planner/quality/forecast_by_formulas.h"
#include "planner/sourcing/plan_sourcing.h"
#include "planner/sourcing/programme.h"
#include "planner/supply/make_scenarios.h"
#include "tests/sourcing/seasons.h"

int main(int argc, char** argv) {
  using namespace rickyard;
  using Clock = std::chrono::steady_clock;
  const auto since = [](Clock::time_point t) { return std::chrono::duration<double>(Clock::now() - t).count(); };
  Season season = test::demo_sized_season();
  if (argc > 2) season.parameters.set("programme_draws_per_year", std::atof(argv[2]));
  SeasonPatch patch;
  patch.demand_factor = argc > 1 ? std::atof(argv[1]) : 1;
  const auto forecast = forecast_by_formulas(season, {});
  auto t = Clock::now();
  const auto supply = make_scenarios(season, {}, forecast, 2, nullptr);
  std::printf("supply %.2f s, qualifying mean %.0f\n", since(t), supply.independent_total_qualifying.mean);
  const auto need = compute_need(season, patch);
  std::printf("need %.0f t\n", need.barley_t);
  t = Clock::now();
  const auto programme = build_programme(programme_terms(season, patch, forecast, need, supply));
  std::printf("build %.2f s: %zu rows, %zu columns, %d of them first stage, %zu scenarios\n", since(t), programme.rows.size(),
              programme.columns.size(), programme.first_columns(), programme.problem.scenarios.size());
  t = Clock::now();
  const auto plan = plan_sourcing(season, patch, forecast, need, supply, nullptr);
  std::printf("plan_sourcing %.2f s, status %d, objective %.2f %s\n", since(t), static_cast<int>(plan.status), plan.objective,
              plan.why.c_str());
  double unmet = 0, bought = 0;
  for (const auto& u : plan.unmet) unmet += plan.weight[static_cast<std::size_t>(u.scenario)] * u.t_equiv;
  for (const auto& p : plan.purchases) bought += plan.weight[static_cast<std::size_t>(p.scenario)] * p.t;
  std::printf("unmet %.1f t, bought %.1f t, flows %zu\n", unmet, bought, plan.flows.size());
  for (const auto& w : plan.warnings) std::printf("warning: %s\n", w.c_str());
}
