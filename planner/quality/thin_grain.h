#pragma once
// Screenings of the grain that is accepted, band by band, in closed form: what dressing takes from a heap and what a claim is reckoned on.
#include <array>

#include "planner/quality/bands.h"

namespace rickyard {

/// Of all grain of one unit (1), the part of a band that passes screenings: its share x its mean screenings, and its share x the mean of
/// max(screenings - free, 0), both in per cent.
struct ThinGrain {
  std::array<double, BandShares::kCount> screenings_pct{}, excess_pct{};
};

/// free_pct: screenings that bear no claim, 0..100. n_sigma and screenings_sigma > 0. METHODS.md, "Bands".
ThinGrain thin_grain(const BandLimits& limits, const BandGrain& grain, const FarmCorrelation& farms, double free_pct);

}  // namespace rickyard
