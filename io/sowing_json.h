#pragma once
// The sowing document as JSON text: sowing.json. sowing_schema.json beside this file is its strict schema.
#include <string>

#include "planner/document/sowing_document.h"

namespace rickyard {

/// Rounding, text and errors as plan_json (plan_json.h). What is not defined (a stage never reached, model = formulas) is null.
std::string sowing_json(const SowingDocument& document);

}  // namespace rickyard
