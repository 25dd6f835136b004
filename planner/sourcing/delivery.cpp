#include "planner/sourcing/delivery.h"

#include <algorithm>
#include <cmath>

#include "planner/supply/contract_grain.h"

namespace rickyard {

double to_micro(double tonnes) { return std::round(tonnes * 1e6) / 1e6; }

double tolerance_of(const Season& season, const ContractRow& row) {
  const double tonnes = row.contracted_t.value_or(0);
  return row.tolerance_t.value_or(
      std::min(season.parameters["tolerance_pct"] / 100 * tonnes, season.parameters["tolerance_t_per_grower"] * row.growers.value_or(1)));
}

Delivery delivery(const Season& season, const ContractRow& row, const ContractScenario& grain) {
  Delivery out;
  const double own = grain.qualifying_t;
  double firm = own, spare = 0;
  if (row.form == ContractForm::area_capped) {
    firm = std::min(own, row.cap_t_ha.value_or(0) * planted_ha_of(row) * (grain.harvested_ha > 0 ? 1 : 0));
    spare = own - firm;
  } else if (row.form == ContractForm::tonnage) {
    const double contracted = row.contracted_t.value_or(0), tolerance = tolerance_of(season, row), least = contracted - tolerance;
    if (own >= least) {
      firm = std::min(own, contracted + tolerance);
    } else {
      out.made_good_t = row.made_good.value_or(0.5) * (least - own);
      firm = own + out.made_good_t;
      out.short_t = to_micro(least - firm);
      out.made_good_t = to_micro(out.made_good_t);
    }
  }
  for (std::size_t b = 0; b < 3; ++b) {
    const double share = own > 0 ? grain.band_t[b] / own : (b == 1 ? 1.0 : 0.0);
    out.firm_t[b] = to_micro(firm * share);
    out.over_cap_t[b] = to_micro(spare * share);
  }
  out.over_limit_t = row.form == ContractForm::tonnage ? 0 : to_micro(grain.band_t[3]);
  out.rejected_t =
      to_micro(grain.rejected_nitrogen_t + grain.rejected_screenings_t + grain.rejected_germination_t + grain.rejected_other_t);
  return out;
}

}  // namespace rickyard
