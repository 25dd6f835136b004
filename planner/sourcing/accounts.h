#pragma once
// From the solved programme to flows, stock, purchases, costs and contract accounts.
#include "planner/sourcing/programme.h"

namespace rickyard {

/// value: [column] of the solved programme. Tonnes are rounded to 1e-6 first; everything else is derived from them.
SourcingResult make_result(const ProgrammeTerms& terms, const Programme& programme, const std::vector<double>& value);

/// The part of a result that needs no solution: heaps, months, lines, weights.
SourcingResult result_frame(const ProgrammeTerms& terms);

}  // namespace rickyard
