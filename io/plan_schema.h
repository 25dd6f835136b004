#pragma once
// The schema of plan.json, carried by the program so that a user can validate a plan without the source tree.
#include <string_view>

namespace rickyard {

/// The text of io/plan_schema.json (JSON Schema 2020-12).
std::string_view plan_schema();

}  // namespace rickyard
