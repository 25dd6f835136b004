// How fast this machine reads memory: the yardstick for everything that streams.
#include <benchmark/benchmark.h>

#include <cstdint>
#include <numeric>
#include <thread>
#include <vector>

namespace {

constexpr std::size_t kBytes = std::size_t{512} << 20U;  // far above any cache

std::uint64_t sum_of(const std::uint64_t* from, const std::uint64_t* to) {
  // Eight sums side by side, so that no addition waits for another.
  std::uint64_t sums[8] = {};
  for (; from + 8 <= to; from += 8)
    for (int k = 0; k < 8; ++k) sums[k] += from[k];
  return std::accumulate(sums, sums + 8, std::uint64_t{0});
}

void read_memory(benchmark::State& state) {
  static const std::vector<std::uint64_t> memory(kBytes / sizeof(std::uint64_t), 1);
  const auto threads = static_cast<std::size_t>(state.range(0));
  for (auto _ : state) {
    std::vector<std::uint64_t> sums(threads);
    {
      std::vector<std::jthread> pool;
      const std::size_t part = memory.size() / threads;
      for (std::size_t t = 0; t < threads; ++t)
        pool.emplace_back([&, t] { sums[t] = sum_of(memory.data() + t * part, memory.data() + (t + 1) * part); });
    }
    benchmark::DoNotOptimize(sums.data());
  }
  state.SetBytesProcessed(static_cast<std::int64_t>(kBytes) * state.iterations());
}
BENCHMARK(read_memory)->Name("read_memory/threads")->Arg(1)->Arg(2)->UseRealTime()->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
