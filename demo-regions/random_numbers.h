#pragma once
// Seeded draws. The engine is fixed by the C++ standard; the standard's distributions are not, so the normal is our own.
#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>

namespace rickyard::demo {

class Draws {
 public:
  /// `stream` keeps the draws of one purpose apart from those of another.
  Draws(unsigned seed, unsigned stream) : engine_(static_cast<std::uint64_t>(seed) * 1000003u + stream) {}

  /// Uniform in the open interval (0, 1).
  double uniform() { return (static_cast<double>(engine_() >> 11u) + 0.5) * 0x1.0p-53; }

  /// Standard normal (Box & Muller 1958).
  double normal() {
    if (has_spare_) {
      has_spare_ = false;
      return spare_;
    }
    const double radius = std::sqrt(-2.0 * std::log(uniform()));
    const double angle = 2.0 * std::numbers::pi * uniform();
    spare_ = radius * std::sin(angle);
    has_spare_ = true;
    return radius * std::cos(angle);
  }

 private:
  std::mt19937_64 engine_;
  double spare_ = 0;
  bool has_spare_ = false;
};

}  // namespace rickyard::demo
