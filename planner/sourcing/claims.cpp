#include "planner/sourcing/claims.h"

#include <algorithm>
#include <cmath>

#include "planner/quality/bands.h"
#include "planner/supply/malting_yield.h"

namespace rickyard {

double reference_tonnes(double tonnes, double moisture_pct) { return tonnes * (1 - moisture_pct / 100) / (1 - kReferenceMoisture); }

ClaimTerms claim_terms(const Season& season, const SeasonPatch& patch) {
  const auto limits = band_limits(season, patch);
  const auto& p = season.parameters;
  ClaimTerms terms;
  terms.limit_n_pct = limits.limit;
  terms.stop_n_pct = limits.stop;
  terms.floor_n_pct = std::isfinite(limits.floor) ? limits.floor : 0;
  terms.n_claim_per_hundredth = p["n_claim_per_hundredth"];
  terms.screenings_free_pct = p["screenings_free_pct"];
  terms.screenings_claim_per_pct = p["screenings_claim_per_pct"];
  terms.screenings_max_pct = season.spec.screenings_max_pct.value_or(10);
  return terms;
}

double n_claim_per_t(const ClaimTerms& terms, double n_pct) {
  return terms.n_claim_per_hundredth * std::max(0.0, n_pct - terms.limit_n_pct) / 0.01;
}

double screenings_claim_per_t(const ClaimTerms& terms, double screenings_pct) {
  return terms.screenings_claim_per_pct * std::max(0.0, screenings_pct - terms.screenings_free_pct);
}

LoadResult apply_claims(const ClaimTerms& terms, double tonnes, double moisture_pct, double n_pct, double screenings_pct) {
  constexpr double kSlack = 1e-9;  // limits are stated to 0.01; keep 1.70 inside a stop of 1.70
  LoadResult result;
  result.reference_t = reference_tonnes(tonnes, moisture_pct);
  if (n_pct > terms.stop_n_pct + kSlack || n_pct < terms.floor_n_pct - kSlack) {
    result.rejected_for = "nitrogen";
  } else if (screenings_pct > terms.screenings_max_pct + kSlack) {
    result.rejected_for = "screenings";
  } else {
    result.claim_per_t = n_claim_per_t(terms, n_pct) + screenings_claim_per_t(terms, screenings_pct);
  }
  return result;
}

double contract_price_per_t(const ContractRow& row, double feed_base, double default_price) {
  const double floating = feed_base + row.premium_per_t.value_or(0);
  switch (row.price_form) {
    case PriceForm::fixed:
      return row.price.value_or(default_price);
    case PriceForm::feed_plus:
      return floating;
    case PriceForm::collar:
      return std::clamp(floating, row.price_floor.value_or(floating),
                        std::max(row.price_ceiling.value_or(floating), row.price_floor.value_or(floating)));
  }
  return default_price;
}

}  // namespace rickyard
