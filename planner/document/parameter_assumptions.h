#pragma once
// Every parameter in force as an assumption with unit, status and source.
#include <vector>

#include "planner/document/plan_document.h"
#include "planner/season/season.h"

namespace rickyard {

std::vector<PlanDocument::Assumption> parameter_assumptions(const Season& season);

}  // namespace rickyard
