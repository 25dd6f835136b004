#pragma once
// Counter-based random draws: Philox4x32-10, so a draw depends on what it is for and never on order or threads.
#include <cstdint>

namespace rickyard {

/// What a draw is for; the second key word. Never renumber: seeds would change meaning.
enum class DrawPurpose : std::uint32_t {
  residual = 1,
  demand = 2,
  independence = 3,
  bootstrap = 4,
  backup_link = 5,
  disaggregation = 6,
  tie_break = 7,
  decision = 8
};

/// The counter words: harvest year (the calendar number, so that leaving years out changes no other draw), draw, place, index of the
/// variate there.
struct DrawCounter {
  std::uint32_t year = 0, draw = 0, place = 0, index = 0;
};

/// Uniform in the open interval (0, 1): (first output word + 0.5) / 2^32.
double uniform_draw(std::uint32_t seed, DrawPurpose purpose, const DrawCounter& counter);
/// Standard normal by inverse CDF of the uniform.
double normal_draw(std::uint32_t seed, DrawPurpose purpose, const DrawCounter& counter);

}  // namespace rickyard
