#pragma once
// Where the grain of a region goes, from what the season could have grown to what qualifies, and the two causes that matter most.
#include <string>
#include <vector>

#include "planner/document/build_document.h"

namespace rickyard {

struct RegionCauses {
  PlanDocument::CauseTonnes mean;
  std::vector<PlanDocument::CauseTonnes> by_year;         // in the order of supply.years
  std::vector<std::string> drivers;                       // the two largest mean losses
  std::vector<std::vector<std::string>> drivers_by_year;  // what set each year apart from the mean, two at most
};

/// rows: the region's contract rows; by_scenario: the region in every supply scenario; qualifying_t, rejected_t: the region's means over
/// all of them, as the document shows them. Tonnes are rounded to 1e-6 and `other` is what remains, so that every sum is exact as written.
RegionCauses region_causes(const DocumentInput& input, const std::vector<std::size_t>& rows,
                           const std::vector<ContractScenario>& by_scenario, double qualifying_t, const PlanDocument::Causes& rejected_t);

}  // namespace rickyard
