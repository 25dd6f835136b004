#pragma once
// Plans of small seasons and what the tests ask of them.
#include <string>

#include "planner/sourcing/sourcing.h"
#include "tests/sourcing/seasons.h"

namespace rickyard::test {

/// The plan of a season with scenarios made by hand.
SourcingResult plan(const Season& season, const SupplyScenarios& supply, const SeasonPatch& patch = {});

/// Money of one part, tonnes of a heap used for a line, unmet reference tonnes of a line; all of one scenario.
double cost(const SourcingResult& result, CostPart part, int scenario = 0);
double used(const SourcingResult& result, const std::string& heap, const std::string& line, int scenario = 0);
double unmet(const SourcingResult& result, const std::string& line, int scenario = 0);

/// Checks every balance the design promises, to 1e-6 t.
void check_balances(const Season& season, const SupplyScenarios& supply, const SourcingResult& result, const SeasonPatch& patch = {});

/// A line "blend" that needs `barley_t` in each of `months` months from November 2027 on.
Season one_line(double barley_t, int months);

}  // namespace rickyard::test
