// Supply scenarios: contracts x weather years x draws a second.
#include <benchmark/benchmark.h>

#include "planner/rules/all_parameters.h"
#include "planner/supply/make_scenarios.h"
#include "tests/supply/weather_forecast.h"

namespace {

using namespace rickyard;

Season season_of(int contracts) {
  Season season{ParameterSet(all_parameters())};
  season.crop_year = 2027;
  season.as_of = Date(2027, 2, 15);
  season.model = ForecastModel::daily;
  for (int i = 0; i < contracts; ++i) {
    ContractRow row;
    row.region = "region " + std::to_string(i);
    row.origin = "home";
    row.contract = row.region + " area";
    row.form = i % 3 == 2 ? ContractForm::tonnage : ContractForm::area;
    row.planted_ha = 500 + 10 * (i % 37);
    if (row.form == ContractForm::tonnage) row.contracted_t = 5 * *row.planted_ha;
    row.harvested_share = 0.97;
    row.yield_t_ha = 5.6 + 0.01 * (i % 50);
    row.typical_n_pct = 1.46 + 0.001 * (i % 60);
    row.typical_screenings_pct = 4;
    row.typical_other_failure_pct = 5;
    season.contracts.push_back(row);
  }
  return season;
}

void make(benchmark::State& state) {
  const auto contracts = static_cast<int>(state.range(0)), years = static_cast<int>(state.range(1)),
             threads = static_cast<int>(state.range(2));
  const Season season = season_of(contracts);
  const HarvestForecast forecast = test::weather_forecast(season, years);
  double drawn = 0;
  for (auto _ : state) {
    const auto supply = make_scenarios(season, {}, forecast, threads, nullptr);
    drawn = static_cast<double>(supply.scenarios.size()) * contracts;
    benchmark::DoNotOptimize(supply);
  }
  state.counters["contract_scenarios"] = drawn;
}
BENCHMARK(make)
    ->Name("supply")
    ->ArgNames({"contracts", "years", "threads"})
    ->Args({50, 30, 1})
    ->Args({100, 30, 1})
    ->Args({200, 30, 1})
    ->Args({200, 30, 2})
    ->Args({200, 15, 1})
    ->MeasureProcessCPUTime()
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
