#pragma once
// Carbon that grain carries when it is bought, t CO2e, by the kg per tonne that the tables give; sources without a figure carry none.
#include "planner/sourcing/programme.h"

namespace rickyard {

/// t CO2e per tonne of a contract's or a backup's grain at 14.5 %.
double contract_carbon(const ProgrammeTerms& terms, int contract);
double backup_carbon(const ProgrammeTerms& terms, int backup);

/// More than a scenario can carry: everything on offer, contracts at their most.
double largest_carbon_t(const ProgrammeTerms& terms, const std::vector<HeapGrain>& grain);

}  // namespace rickyard
