#include "planner/rules/parameters.h"

#include <array>

namespace rickyard {
namespace {

constexpr std::array kTable = {
    ParameterSpec{"default_sow_before_days", 21, "days", 0, 150, "practice", "trade habit",
                  "sow_earliest of a contract that gives none: this long before sow_planned"},
};

}  // namespace

std::span<const ParameterSpec> rules_parameters() { return kTable; }

}  // namespace rickyard
