#pragma once
// Everything the contract command answers beside the plan at the proposed amounts.
#include <optional>
#include <vector>

#include "planner/decision/decision.h"
#include "planner/decision/limit_ladder.h"
#include "planner/decision/lots.h"
#include "planner/decision/own_grain.h"
#include "planner/decision/price_forms.h"

namespace rickyard {

struct ContractAnswers {
  Decision decision;
  std::vector<double> listed_amount;  // [contract row] in the contracts table: hectares, contracted tonnes for tonnage rows
  std::vector<LadderStep> limit_ladder;
  PriceForms price_forms;
  std::vector<LotGap> lots;
  std::optional<HectaresNeeded> hectares_needed;  // empty: no row may still be signed
};

}  // namespace rickyard
