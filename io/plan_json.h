#pragma once
// The plan document as JSON text: plan.json. plan_schema.json beside this file is its strict schema.
#include <string>

#include "planner/document/plan_document.h"

namespace rickyard {

/// The whole document as JSON: UTF-8, keys in the order of the schema, indent of two spaces, newline at the end.
/// Fractions without a unit (weights, chances, shares, factors) are rounded to 1e-9, all other numbers to 1e-6, both
/// absolute; the shortest text that reads back as that number; never -0. Text that is not UTF-8 gets U+FFFD.
/// Dates and ranges that are not defined (a stage never reached, the nitrogen of nothing) are null.
/// Throws std::logic_error naming the field where a number is not finite or a date is missing that must be there.
std::string plan_json(const PlanDocument& document);

}  // namespace rickyard
