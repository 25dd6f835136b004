#include "planner/base/blocks.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <thread>
#include <vector>

#ifndef RICKYARD_PLAIN_THREADS
#include <oneapi/tbb/global_control.h>
#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/task_arena.h>
#endif

namespace rickyard {
namespace {

#ifdef RICKYARD_PLAIN_THREADS
void run_all(int n, int threads, const std::function<void(int)>& work) {
  std::atomic<int> next{0};
  std::vector<std::jthread> crew;
  for (int t = 0; t < threads; ++t)
    crew.emplace_back([&] {
      for (int block = next++; block < n; block = next++) work(block);
    });
}
#else
void run_all(int n, int threads, const std::function<void(int)>& work) {
  // Without it oneTBB prints a warning when more threads are asked for than there are cores.
  const oneapi::tbb::global_control allowed(oneapi::tbb::global_control::max_allowed_parallelism, static_cast<std::size_t>(threads));
  oneapi::tbb::task_arena arena(threads);
  arena.execute([&] { oneapi::tbb::parallel_for(0, n, [&](int block) { work(block); }); });
}
#endif

}  // namespace

void for_each_block(int n, int threads, const std::function<void(int)>& work) {
  if (threads <= 0) threads = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
  std::vector<std::exception_ptr> failed(static_cast<std::size_t>(std::max(n, 0)));
  const auto guarded = [&](int block) {
    try {
      work(block);
    } catch (...) {
      failed[static_cast<std::size_t>(block)] = std::current_exception();
    }
  };
  if (threads == 1 || n <= 1) {
    for (int block = 0; block < n; ++block) guarded(block);
  } else {
    run_all(n, threads, guarded);
  }
  for (const auto& error : failed)
    if (error) std::rethrow_exception(error);
}

}  // namespace rickyard
