#pragma once
// Findings as JSON, for programs that call `check --json`.
#include <string>
#include <vector>

#include "planner/base/problem.h"

namespace rickyard {

/// {"problems": [{"severity", "place", "value", "message", "remedy"}]}, two spaces indent, newline at the end.
std::string problems_json(const std::vector<Problem>& problems);

}  // namespace rickyard
