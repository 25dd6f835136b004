#pragma once
// The user's own contracts table with other amounts: everything else stays as it was written, cell by cell.
#include <string>
#include <vector>

#include "io/raw_table.h"
#include "planner/season/season.h"

namespace rickyard {

/// CSV that can stand in the place of `table`: the same columns and rows; planted_ha and contracted_t (and declared_ha, where it is what
/// counts) from `contracts` in the rows of `changed` ([contract], true: at another amount), rounded to 4 decimals. Dates of a sheet are
/// written YYYY-MM-DD. Cells are the user's own text and are not guarded against formulas: a name must stay the name it was.
std::string contracts_csv(const RawTable& table, const std::vector<ContractRow>& contracts, const std::vector<char>& changed);

}  // namespace rickyard
