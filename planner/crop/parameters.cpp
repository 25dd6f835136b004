#include "planner/crop/parameters.h"

#include <array>

namespace rickyard {
namespace {
constexpr std::array<ParameterSpec, 0> kTable{};
}  // namespace

std::span<const ParameterSpec> crop_parameters() { return kTable; }

}  // namespace rickyard
