#pragma once
// Sixteen land units side by side: the shape that the fast kernel's figures have.
#include <array>
#include <cstddef>
#include <vector>

namespace rickyard {

/// One figure of each land unit of a block; lanes beyond the block's units repeat its first unit.
struct alignas(64) Lanes {
  static constexpr std::size_t kCount = 16;
  std::array<double, kCount> v{};
  double& operator[](std::size_t lane) { return v[lane]; }
  double operator[](std::size_t lane) const { return v[lane]; }
  double* data() { return v.data(); }
  const double* data() const { return v.data(); }
};

/// [day of the season][lane]
using LaneDays = std::vector<Lanes>;

}  // namespace rickyard
