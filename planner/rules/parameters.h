#pragma once
// Defaults of table columns that no other room names.
#include <span>

#include "planner/base/parameters.h"

namespace rickyard {

std::span<const ParameterSpec> rules_parameters();

}  // namespace rickyard
