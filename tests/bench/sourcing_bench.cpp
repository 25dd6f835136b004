// The sourcing programme: one linear problem by dual simplex against the decomposition; how both grow; an edit solved again.
#include <benchmark/benchmark.h>

#include <cstdlib>
#include <fstream>
#include <string>

#include "planner/sourcing/decomposition.h"
#include "tests/bench/sourcing_case.h"

namespace {

using namespace rickyard;

int bands() {
  const char* text = std::getenv("RICKYARD_BENCH_BANDS");
  return text ? std::atoi(text) : 1;
}

const bench::SourcingCase& case_of(int scenarios) {
  static std::map<int, bench::SourcingCase> made;
  const auto found = made.find(scenarios);
  return found != made.end() ? found->second : made.try_emplace(scenarios, scenarios, bands()).first->second;
}

// The highest memory of this process since `begin_peak`, in MB; Linux keeps it.
void begin_peak() { std::ofstream("/proc/self/clear_refs") << "5"; }
double peak_mb() {
  std::ifstream in("/proc/self/status");
  for (std::string line; std::getline(in, line);)
    if (line.rfind("VmHWM:", 0) == 0) return std::atof(line.c_str() + 6) / 1024;
  return 0;
}

void size_of(benchmark::State& state, const Programme& programme) {
  state.counters["rows"] = static_cast<double>(programme.rows.size());
  state.counters["columns"] = static_cast<double>(programme.columns.size());
}

void extensive(benchmark::State& state) {
  const auto programme = case_of(static_cast<int>(state.range(0))).programme();
  begin_peak();
  for (auto _ : state) {
    const auto solution = solve_in_order(extensive_form(programme.problem).lp, {});
    if (solution.status != LpStatus::optimal) state.SkipWithError("not solved");
    state.counters["objective"] = solution.stage_objective.empty() ? 0 : solution.stage_objective[0];
  }
  state.counters["peak_mb"] = peak_mb();
  size_of(state, programme);
}

void decomposition(benchmark::State& state) {
  const auto programme = case_of(static_cast<int>(state.range(0))).programme();
  DecompositionOptions options;
  options.threads = static_cast<int>(state.range(1));
  begin_peak();
  for (auto _ : state) {
    const auto solution = Decomposition(programme.problem, options).solve();
    if (solution.status != LpStatus::optimal) state.SkipWithError("not solved");
    state.counters["objective"] = solution.objective;
    state.counters["gap"] = solution.gap();
    state.counters["rounds"] = solution.rounds;
  }
  state.counters["peak_mb"] = peak_mb();
  size_of(state, programme);
}

// A nitrogen ceiling is edited: the programme is built again and solved.
void edited(benchmark::State& state) {
  auto at_hand = case_of(static_cast<int>(state.range(0)));
  DecompositionOptions options;
  options.threads = 2;
  double ceiling = 1.55;
  for (auto _ : state) {
    ceiling = ceiling > 1.56 ? 1.55 : ceiling + 0.002;
    for (auto& row : at_hand.season.demand)
      if (row.line == "single") row.n_ceiling_pct = ceiling;
    const auto programme = at_hand.programme();
    if (Decomposition(programme.problem, options).solve().status != LpStatus::optimal) state.SkipWithError("not solved");
  }
}

BENCHMARK(extensive)->ArgNames({"scenarios"})->Arg(30)->Arg(100)->Iterations(1)->Unit(benchmark::kMillisecond);
BENCHMARK(decomposition)
    ->ArgNames({"scenarios", "threads"})
    ->ArgsProduct({{30, 100, 300, 1000, 3000}, {1, 2}})
    ->Iterations(1)
    ->MeasureProcessCPUTime()
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK(edited)->ArgNames({"scenarios"})->Arg(30)->MeasureProcessCPUTime()->UseRealTime()->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
