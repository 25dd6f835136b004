#pragma once
// How safe the plan is, and what the contract command answers, as tables.
#include <vector>

#include "planner/base/table.h"
#include "planner/document/plan_document.h"

namespace rickyard {

/// Of every plan: chances by month, the store, contracts it hangs on, claim lines, carbon; of a contract plan also the frontier, the worth
/// of amounts, waiting, insuring, the limit ladder, price forms, lots and hectares needed.
std::vector<Table> decision_tables(const PlanDocument& document);

}  // namespace rickyard
