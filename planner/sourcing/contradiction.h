#pragma once
// Which hard rule cannot be kept, where, and by how many tonnes.
#include <string>

#include "planner/sourcing/programme.h"

namespace rickyard {

/// Lets every hard rule be broken at one per tonne and names the rule broken most: rule, month, tonnes.
std::string explain_contradiction(const ProgrammeTerms& terms, const Programme& programme, int threads);

}  // namespace rickyard
