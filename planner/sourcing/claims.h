#pragma once
// What a load is paid: moisture to reference, claims, rejection, and the three price forms.
#include <optional>
#include <string>

#include "planner/season/season.h"

namespace rickyard {

/// Tonnes at 14.5 % moisture: t x (1 - m)/(1 - 0.145). moisture_pct in [0, 100).
double reference_tonnes(double tonnes, double moisture_pct);

struct ClaimTerms {
  double limit_n_pct = 1.65, stop_n_pct = 1.65, floor_n_pct = 0;
  double n_claim_per_hundredth = 1;  // per t for each 0.01 %N above the limit
  double screenings_free_pct = 4, screenings_claim_per_pct = 0.75, screenings_max_pct = 10;
};
/// Terms of the season as a patch changes them.
ClaimTerms claim_terms(const Season& season, const SeasonPatch& patch);

/// Deduction per tonne for N and for screenings; 0 inside the limits.
double n_claim_per_t(const ClaimTerms& terms, double n_pct);
double screenings_claim_per_t(const ClaimTerms& terms, double screenings_pct);

struct LoadResult {
  double reference_t = 0;                   // tonnes at 14.5 %
  double claim_per_t = 0;                   // deduction, 0 where rejected
  std::optional<std::string> rejected_for;  // the first cause only: "nitrogen" or "screenings"
};
/// N past the stop or below the floor rejects, then screenings past the maximum; a rejected load is counted once.
LoadResult apply_claims(const ClaimTerms& terms, double tonnes, double moisture_pct, double n_pct, double screenings_pct);

/// Price per t of a contract row when feed stands at feed_base: fixed -> price; feed_plus -> feed + premium;
/// collar -> feed + premium held between price_floor and price_ceiling. `default_price` stands in for a missing price.
double contract_price_per_t(const ContractRow& row, double feed_base, double default_price);

}  // namespace rickyard
