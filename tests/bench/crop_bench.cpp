// The crop kernels beside the NumPy version of the same equations, interleaved: run with --benchmark_enable_random_interleaving.
#include <benchmark/benchmark.h>
#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <map>
#include <memory>

#include "planner/crop/crop_run.h"
#include "tests/bench/crop_case.h"
#include "tests/bench/numpy_worker.h"

namespace rickyard::bench {
namespace {

/// One size of the case: so many lanes (cells x dates) whatever the number of dates.
struct Job {
  CropCase made;
  std::vector<CropRun> runs;
  double useful = 0;
  std::unique_ptr<NumpyWorker> numpy;
};

int env_number(const char* name, int fallback) {
  const char* text = std::getenv(name);
  return text ? std::atoi(text) : fallback;
}

Growing growing(CropKernel kernel, int threads) {
  Growing how;
  how.kernel = kernel, how.threads = threads;
  return how;
}

void count(benchmark::State& state, const Job& job) {
  // A rate that is inverted is the time of one: printed as seconds a useful lane-day.
  state.counters["useful"] = job.useful;
  state.counters["s_per_lane_day"] =
      benchmark::Counter(job.useful, benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}

void grow(benchmark::State& state, const Job& job, CropKernel kernel, int threads) {
  for (auto _ : state)
    benchmark::DoNotOptimize(run_crop(job.made.land, job.made.archive, job.runs, job.made.season, {}, growing(kernel, threads)));
  count(state, job);
}

void grow_by_numpy(benchmark::State& state, const Job& job) {
  for (auto _ : state) state.SetIterationTime(job.numpy->run(job.made.harvest_years, job.made.land.cells.size(), job.runs));
  count(state, job);
}

/// Every packed value touched once, in the order it lies: what no kernel can do without.
void read_weather(benchmark::State& state, const Job& job) {
  for (auto _ : state) {
    long sum = 0;
    for (const auto value : job.made.archive.rain_cmm) sum += value;
    for (const auto value : job.made.archive.tmin_cc) sum += value;
    for (const auto value : job.made.archive.tmax_cc) sum += value;
    benchmark::DoNotOptimize(sum);
  }
  count(state, job);
}

/// The yardstick must be the same model: 1e-9 between NumPy and the exact kernel; and how far the fast one lies from it.
bool same_model(Job& job, const CropRecords& exact) {
  const double numpy = job.numpy->difference(exact, job.made.harvest_years, job.made.land.cells.size());
  double fast = 0;
  long dates = 0;
  const auto other = run_crop(job.made.land, job.made.archive, job.runs, job.made.season, {}, growing(CropKernel::fast, 0));
  for (std::size_t r = 0; r < exact.records.size(); ++r)
    for (std::size_t i = 0; i < exact.records[r].size(); ++i) {
      const auto &a = exact.records[r][i], &b = other.records[r][i];
      fast = std::max(fast, std::abs(a.relative_yield - b.relative_yield) / std::max(1.0, a.relative_yield));
      dates += a.sown != b.sown || a.heading != b.heading || a.ripe != b.ripe || a.harvested != b.harvested;
    }
  std::fprintf(stderr, "%zu dates: NumPy differs from the exact kernel by %.1e; the fast one by %.1e in yield and %ld records in a date\n",
               job.runs.size(), numpy, fast, dates);
  return numpy < 1e-9;
}

}  // namespace
}  // namespace rickyard::bench

int main(int argc, char** argv) {
  using namespace rickyard;
  using namespace rickyard::bench;
  benchmark::Initialize(&argc, argv);
  const int lanes = env_number("RICKYARD_BENCH_LANES", 16384), years = env_number("RICKYARD_BENCH_YEARS", 3);
  const auto folder = std::filesystem::temp_directory_path() / ("rickyard_bench_" + std::to_string(getpid()));
  std::map<int, Job> jobs;
  bool fair = true;
  for (const int dates : {1, 13}) {
    Job job{make_crop_case(lanes / dates, years), {}, 0, nullptr};
    job.runs = planned_runs(job.made, dates);
    const std::string place = (folder / std::to_string(dates)).string();
    write_case(job.made, place);
    job.numpy = std::make_unique<NumpyWorker>(place);
    const auto exact = run_crop(job.made.land, job.made.archive, job.runs, job.made.season, {}, growing(CropKernel::exact, 0));
    job.useful = useful_lane_days(job.made, exact);
    fair = same_model(job, exact) && fair;
    jobs.emplace(dates, std::move(job));
  }
  std::filesystem::remove_all(folder);
  if (!fair) {
    std::fprintf(stderr, "bench_crop: crop_numpy.py is not the same model; its time would say nothing\n");
    return 1;
  }
  for (const auto& [dates, job] : jobs) {
    const std::string tail = "/dates:" + std::to_string(dates);
    const Job* which = &job;
    const auto add = [&](const std::string& name, auto&& body) {
      return benchmark::RegisterBenchmark((name + tail).c_str(), body)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime();
    };
    for (const int threads : {1, 2}) {
      const std::string on = "/threads:" + std::to_string(threads);
      add("exact" + on, [=](benchmark::State& state) { grow(state, *which, CropKernel::exact, threads); })->UseRealTime();
      add("fast" + on, [=](benchmark::State& state) { grow(state, *which, CropKernel::fast, threads); })->UseRealTime();
    }
    add("numpy", [=](benchmark::State& state) { grow_by_numpy(state, *which); })->UseManualTime();
    add("read_weather", [=](benchmark::State& state) { read_weather(state, *which); })->UseRealTime();
  }
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
