#pragma once
// The hindcast document as JSON text: hindcast.json. hindcast_schema.json beside this file is its strict schema.
#include <string>

#include "planner/document/hindcast_document.h"

namespace rickyard {

/// Rounding, text and errors as plan_json (plan_json.h). What is not known or not defined is null.
std::string hindcast_json(const HindcastDocument& document);

}  // namespace rickyard
