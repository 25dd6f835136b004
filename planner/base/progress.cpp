#include "planner/base/progress.h"

#include <fmt/format.h>

#include <cmath>

namespace rickyard {

std::string time_left_words(double seconds) {
  if (!(seconds >= 2)) return "";
  if (seconds < 10) return fmt::format("about {:.0f} s left", seconds);
  if (seconds < 95) return fmt::format("about {:.0f} s left", 10 * std::round(seconds / 10));
  if (seconds < 95 * 60) return fmt::format("about {:.0f} min left", std::round(seconds / 60));
  return fmt::format("about {:.0f} h left", std::round(seconds / 3600));
}

}  // namespace rickyard
