// A season and its scenarios with contracts at other amounts than the table's.
#include <cmath>
#include <stdexcept>

#include "planner/decision/decision.h"
#include "planner/sourcing/delivery.h"

namespace rickyard {
namespace {

void scale_grain(ContractScenario& grain, double by) {
  grain.harvested_ha *= by;
  for (double* tonnes : {&grain.offered_t, &grain.qualifying_t, &grain.with_claim_t, &grain.rejected_nitrogen_t,
                         &grain.rejected_screenings_t, &grain.rejected_germination_t, &grain.rejected_other_t})
    *tonnes *= by;
  for (double& t : grain.band_t) t *= by;
}

void require_size(const Season& season, const std::vector<double>& scale) {
  if (scale.size() != season.contracts.size()) throw std::invalid_argument("one scale for each contract row");
}

}  // namespace

Season season_at(const Season& season, const std::vector<double>& scale) {
  require_size(season, scale);
  Season out = season;
  for (std::size_t c = 0; c < scale.size(); ++c) {
    auto& row = out.contracts[c];
    if (scale[c] == 1) continue;
    if (row.form == ContractForm::tonnage) row.tolerance_t = tolerance_of(season, season.contracts[c]) * scale[c];
    for (auto* amount : {&row.planted_ha, &row.declared_ha, &row.contracted_t})
      if (*amount) **amount *= scale[c];
    row.min_ha = row.max_ha = row.planted_ha;
  }
  return out;
}

SupplyScenarios supply_at(const Season& season, const SupplyScenarios& supply, const std::vector<double>& scale) {
  require_size(season, scale);
  SupplyScenarios out = supply;
  for (auto& scenario : out.scenarios)
    for (std::size_t c = 0; c < scale.size(); ++c)
      if (scale[c] != 1) scale_grain(scenario.contracts[c], scale[c]);
  return out;
}

}  // namespace rickyard
