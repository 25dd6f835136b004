#pragma once
// The named parameters of this room; METHODS.md lists them all.
#include <span>

#include "planner/base/parameters.h"

namespace rickyard {

std::span<const ParameterSpec> hindcast_parameters();

}  // namespace rickyard
