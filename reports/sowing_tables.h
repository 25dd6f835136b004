#pragma once
// The sowing document as tables for CSV files. Every cell is a field of the document, unchanged.
#include <vector>

#include "planner/base/table.h"
#include "planner/document/sowing_document.h"

namespace rickyard {

/// sowing (one row for each place, date and way), springs (place and year), drilling (place and date), n_rates (place and rate);
/// README.md lists their columns.
std::vector<Table> sowing_tables(const SowingDocument& document);

}  // namespace rickyard
