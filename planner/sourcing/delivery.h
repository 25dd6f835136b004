#pragma once
// What a contract brings in a scenario at its signed amount, by form.
#include <array>

#include "planner/season/season.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// Tonnes at 14.5 %, rounded to 1e-6.
struct Delivery {
  std::array<double, kBands> firm_t{};      // must be taken
  std::array<double, kBands> over_cap_t{};  // may be taken, all bands in the same proportion (area_capped)
  double over_limit_t = 0;                  // band 3, may be taken (limit_policy after_harvest)
  double made_good_t = 0;                   // part of firm_t that the grower bought elsewhere
  double short_t = 0;                       // below T - tolerance after making good (tonnage)
  double rejected_t = 0;                    // turned away
  double firm() const { return firm_t[0] + firm_t[1] + firm_t[2]; }
  double over_cap() const { return over_cap_t[0] + over_cap_t[1] + over_cap_t[2]; }
};

/// min(5 % of T, 15 t x growers), or the row's own.
double tolerance_of(const Season& season, const ContractRow& row);

Delivery delivery(const Season& season, const ContractRow& row, const ContractScenario& grain);

/// The nearest multiple of 1e-6.
double to_micro(double tonnes);

}  // namespace rickyard
