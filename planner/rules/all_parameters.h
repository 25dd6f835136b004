#pragma once
// Every parameter of every room, in METHODS.md order.
#include <vector>

#include "planner/base/parameters.h"

namespace rickyard {

const std::vector<ParameterSpec>& all_parameters();

}  // namespace rickyard
