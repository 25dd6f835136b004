#include "planner/supply/malting_yield.h"

#include <algorithm>

namespace rickyard {

MaltingYield malting_yield(const Season& season) {
  const auto& p = season.parameters;
  MaltingYield y;
  y.spirit_lpa_per_t = p["spirit_lpa_per_t_malt"];
  y.spirit_loss_per_n = p["spirit_loss_lpa_per_n_pct"];
  y.dressing = p["dressing_frac"];
  y.dressing_given = p.set_by_user("dressing_frac");
  y.dry_loss = p["malting_dry_loss_pct"] / 100;
  y.malt_moisture = p["malt_moisture_pct"] / 100;
  y.handling_loss = p["malt_handling_loss_pct"] / 100;
  return y;
}

double malt_per_barley(const MaltingYield& yield, double dressing) {
  constexpr double kDressedMoisture = 0.12;
  return (1 - kReferenceMoisture) / (1 - kDressedMoisture) * dressing * ((1 - kDressedMoisture) / (1 - yield.malt_moisture)) *
         (1 - yield.dry_loss);
}

double dressing_of(const MaltingYield& yield, double screenings_pct) {
  return yield.dressing_given ? yield.dressing : std::clamp(1 - screenings_pct / 100 - 0.01, 0.0, 0.98);
}

double output_per_barley(const MaltingYield& yield, NeedUnit unit, double n_pct, double dressing) {
  if (unit == NeedUnit::barley_t) return 1;
  const double malt = malt_per_barley(yield, dressing);
  if (unit == NeedUnit::malt_t) return malt;
  return malt * (1 - yield.handling_loss) * (yield.spirit_lpa_per_t - yield.spirit_loss_per_n * (n_pct - kReferenceN));
}

double reference_output(const MaltingYield& yield, NeedUnit unit) { return output_per_barley(yield, unit, kReferenceN, yield.dressing); }

}  // namespace rickyard
