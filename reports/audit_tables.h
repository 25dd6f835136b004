#pragma once
// The audit tables: enough to recompute every range of the plan document with a spreadsheet or a script.
#include <vector>

#include "planner/base/table.h"
#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"
#include "planner/sourcing/sourcing.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// scenarios, backup_scenarios, needs, flows, stock, unmet, purchases, accounts, costs and, where `forecast` is given,
/// forecast; README.md defines every column. `scenario` is the same number in all of them: the position in
/// SupplyScenarios::scenarios. Figures are rounded to 1e-9 and weights to 1e-15 when written, so that sums of many rows
/// still agree with the document to 1e-6.
std::vector<Table> audit_tables(const Season& season, const Need& need, const SupplyScenarios& supply, const SourcingResult& sourcing,
                                const HarvestForecast* forecast = nullptr);

}  // namespace rickyard
