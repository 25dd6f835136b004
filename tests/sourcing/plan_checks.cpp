#include "tests/sourcing/plan_checks.h"

#include <doctest/doctest.h>

#include <cmath>
#include <map>

#include "planner/sourcing/plan_sourcing.h"

namespace rickyard::test {

SourcingResult plan(const Season& season, const SupplyScenarios& supply, const SeasonPatch& patch) {
  HarvestForecast forecast;
  forecast.years = supply.years;
  forecast.weights = supply.year_weights;
  return plan_sourcing(season, patch, forecast, compute_need(season, patch), supply, nullptr);
}

double cost(const SourcingResult& result, CostPart part, int scenario) {
  double sum = 0;
  for (const auto& c : result.costs)
    if (c.part == part && c.scenario == scenario) sum += c.amount;
  return sum;
}

double used(const SourcingResult& result, const std::string& heap, const std::string& line, int scenario) {
  double t = 0;
  for (const auto& f : result.flows)
    if (f.scenario == scenario && result.heaps[static_cast<std::size_t>(f.heap)].name == heap &&
        result.lines[static_cast<std::size_t>(f.line)] == line)
      t += f.t;
  return t;
}

double unmet(const SourcingResult& result, const std::string& line, int scenario) {
  double t = 0;
  for (const auto& u : result.unmet)
    if (u.scenario == scenario && result.lines[static_cast<std::size_t>(u.line)] == line) t += u.t_equiv;
  return t;
}

// Every balance the design promises, to 1e-6 t.
void check_balances(const Season& season, const SupplyScenarios& supply, const SourcingResult& result, const SeasonPatch& patch) {
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
  Season season = plain_season();
  season.plan_from = Month{2027, 11};
  season.plan_to = add_months({2027, 11}, months - 1);
  for (int m = 0; m < months; ++m) season.demand.push_back(need_of("blend", add_months({2027, 11}, m), barley_t));
  return season;
}

}  // namespace rickyard::test
