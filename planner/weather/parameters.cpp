#include "planner/weather/parameters.h"

#include <array>

namespace rickyard {
namespace {
constexpr std::array<ParameterSpec, 0> kTable{};
}  // namespace

std::span<const ParameterSpec> weather_parameters() { return kTable; }

}  // namespace rickyard
