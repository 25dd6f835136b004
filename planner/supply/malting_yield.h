#pragma once
// From barley at intake (14.5 % moisture) to malt and spirit: formulas 1 and 2 of METHODS.md, "Need".
#include "planner/season/season.h"

namespace rickyard {

struct MaltingYield {
  double spirit_lpa_per_t = 410;  // per t malt at N 1.50
  double spirit_loss_per_n = 45;  // LPA per t malt and 1 %N above 1.50
  double dressing = 0.96;         // fraction kept, reference
  bool dressing_given = false;    // the user stated it: no heap computes its own
  double dry_loss = 0.104;        // fraction of dry matter lost in malting
  double malt_moisture = 0.05;    // fraction
  double handling_loss = 0.005;   // fraction of malt lost before mashing
};
MaltingYield malting_yield(const Season& season);

/// t malt per t barley at 14.5 %: (1 - 0.145)/(1 - 0.12) x dressing x (1 - 0.12)/(1 - malt moisture) x (1 - dry loss).
double malt_per_barley(const MaltingYield& yield, double dressing);
/// min(0.98, 1 - screenings/100 - 0.01), or the user's figure.
double dressing_of(const MaltingYield& yield, double screenings_pct);
/// What one tonne of barley gives in the line's own unit: LPA, t malt or t barley.
double output_per_barley(const MaltingYield& yield, NeedUnit unit, double n_pct, double dressing);
/// The same at N 1.50 with the reference dressing.
double reference_output(const MaltingYield& yield, NeedUnit unit);

inline constexpr double kReferenceMoisture = 0.145, kReferenceN = 1.50;

}  // namespace rickyard
