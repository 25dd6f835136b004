#pragma once
// One way to run independent blocks on threads; results are placed by block index, so order never matters.
#include <functional>

namespace rickyard {

/// Calls work(block) once for each block in [0, n) on at most `threads` threads (0 = all cores).
/// The first exception thrown by a block (lowest index) is rethrown after all have ended.
void for_each_block(int n, int threads, const std::function<void(int)>& work);

}  // namespace rickyard
