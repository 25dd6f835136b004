#include "planner/document/tonne_words.h"

#include <cmath>
#include <cstddef>

namespace rickyard {

std::string tonne_words(double t) {
  const long long whole = t >= 1000 ? 10 * std::llround(t / 10) : std::llround(t);
  if (whole == 0) return "under 1 t";
  std::string digits = std::to_string(whole);
  for (auto at = static_cast<std::ptrdiff_t>(digits.size()) - 3; at > 0; at -= 3) digits.insert(static_cast<std::size_t>(at), ",");
  return digits + " t";
}

}  // namespace rickyard
