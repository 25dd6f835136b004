#pragma once
// The plan document as tables for CSV files and for the workbook. Every cell is a field of the document, unchanged.
#include <vector>

#include "planner/base/table.h"
#include "planner/document/plan_document.h"

namespace rickyard {

/// summary, years, regions, region_years, causes, blend_by_month, blend_by_year, allocation, contracts, orders, purchase_ranges,
/// stock_ranges, cost_ranges, need, assumptions, inputs, notes; README.md lists their columns. Names are valid sheet
/// names and differ from those of audit_tables. A range takes four columns: _mean, _p10, _p50, _p90; empty where undefined.
std::vector<Table> plan_tables(const PlanDocument& document);

}  // namespace rickyard
