#include "planner/base/draws.h"

#include <Random123/philox.h>

#include "planner/base/normal.h"

namespace rickyard {

double uniform_draw(std::uint32_t seed, DrawPurpose purpose, const DrawCounter& counter) {
  const r123::Philox4x32 philox;
  const r123::Philox4x32::ctr_type at = {{counter.year, counter.draw, counter.place, counter.index}};
  const r123::Philox4x32::key_type key = {{seed, static_cast<std::uint32_t>(purpose)}};
  return (static_cast<double>(philox(at, key)[0]) + 0.5) * 0x1p-32;
}

double normal_draw(std::uint32_t seed, DrawPurpose purpose, const DrawCounter& counter) {
  return normal_quantile(uniform_draw(seed, purpose, counter));
}

}  // namespace rickyard
