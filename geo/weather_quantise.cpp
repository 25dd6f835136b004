#include "geo/weather_quantise.h"

namespace rickyard {
namespace {

// std::round in a form that the compiler can vectorise: x - trunc(x) is exact.
template <typename T>
bool quantise_lanes(const double* values, int n, const Quantising& rule, T missing, T* out) {
  const auto [shift, factor, lowest, highest] = rule;
  int refused = 0;
  for (int i = 0; i < n; ++i) {
    const double value = values[i] + shift;
    const bool taken = (value >= lowest) & (value <= highest);
    const double x = taken ? value * factor : 0.0;
    const int whole = static_cast<int>(x);
    const double rest = x - whole;
    const int rounded = whole + static_cast<int>(rest >= 0.5) - static_cast<int>(rest <= -0.5);
    out[i] = static_cast<T>(taken ? rounded : static_cast<int>(missing));
    refused += static_cast<int>(!taken) & static_cast<int>(values[i] == values[i]);
  }
  return refused == 0;
}

// A block of sixteen has a loop of its own, of known length.
template <typename T>
bool quantise_any(const double* values, int n, const Quantising& rule, T missing, T* out) {
  return n == 16 ? quantise_lanes(values, 16, rule, missing, out) : quantise_lanes(values, n, rule, missing, out);
}

}  // namespace

bool quantise(const double* values, int n, const Quantising& rule, std::uint16_t missing, std::uint16_t* out) {
  return quantise_any(values, n, rule, missing, out);
}

bool quantise(const double* values, int n, const Quantising& rule, std::int16_t missing, std::int16_t* out) {
  return quantise_any(values, n, rule, missing, out);
}

}  // namespace rickyard
