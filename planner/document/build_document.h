#pragma once
// From the typed results of every stage to the plan document. Pure: the same input gives the same document.
#include <string>
#include <vector>

#include "planner/calibration/calibrate.h"
#include "planner/decision/contract_answers.h"
#include "planner/document/plan_document.h"
#include "planner/quality/harvest_forecast.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/sourcing/sourcing.h"
#include "planner/supply/supply.h"

namespace rickyard {

/// Everything the document is made of. `land` is null with model = formulas.
struct DocumentInput {
  const Season& season;
  const SeasonPatch& patch;
  const Land* land;
  const HarvestForecast& forecast;
  const SupplyScenarios& supply;
  const Need& need;
  const SourcingResult& sourcing;
  std::vector<std::vector<std::string>> suitability;  // [land region]; empty for formulas
  std::vector<double> cell_qualifying_t_ha;           // [land cell], NaN where no contract row reaches; empty for formulas
  std::vector<PlanDocument::Input> inputs;
  std::vector<std::string> warnings;  // from reading and from the stages
  std::vector<PlanDocument::Assumption> stage_assumptions;
  std::string version;
  const Calibration* calibration = nullptr;                  // `season` is then the calibrated one
  const ContractAnswers* answers = nullptr;                  // contract command; `season`, `supply`, `sourcing` are at the proposal
  std::optional<Date> weather_known_through = std::nullopt;  // last day of the season in hand whose weather the forecast holds
};

PlanDocument build_document(const DocumentInput& input);

// The blocks, one file each; build_document calls them in this order.
std::vector<PlanDocument::WeatherYear> year_blocks(const HarvestForecast& forecast);
std::vector<PlanDocument::RegionBlock> region_blocks(const DocumentInput& input);
std::vector<PlanDocument::ContractBlock> contract_blocks(const DocumentInput& input);
PlanDocument::Supply supply_block(const SupplyScenarios& supply);
PlanDocument::Need need_block(const Need& need);
PlanDocument::Cover cover_block(const DocumentInput& input);
std::vector<PlanDocument::Decision> decision_blocks(const DocumentInput& input);
std::vector<PlanDocument::PurchaseBlock> purchase_blocks(const DocumentInput& input);
std::vector<PlanDocument::MonthBlock> month_blocks(const DocumentInput& input);
std::vector<PlanDocument::StockBlock> stock_blocks(const DocumentInput& input);
PlanDocument::CostBlock cost_block(const DocumentInput& input);
PlanDocument::Solution solution_block(const DocumentInput& input);
std::vector<PlanDocument::MonthChance> month_chances(const DocumentInput& input);
PlanDocument::Store store_block(const DocumentInput& input);
PlanDocument::Dependence dependence_block(const DocumentInput& input, const std::vector<PlanDocument::WeatherYear>& years);
std::vector<PlanDocument::ClaimLine> claim_line_blocks(const DocumentInput& input);
PlanDocument::Failure failure_block(const DocumentInput& input);
PlanDocument::Carbon carbon_block(const DocumentInput& input);
/// What the contract command adds: sets one_more, the values of information and `decision`. input.answers must be set.
void add_decision(const DocumentInput& input, PlanDocument& document);
PlanDocument::MapBlock map_block(const Land& land, const std::vector<double>& cell_qualifying_t_ha);
std::vector<PlanDocument::CalibrationEntry> calibration_block(const Calibration& calibration);
/// Marks calibrated parameters among the assumptions and adds one line for the rest.
void mention_calibration(const Calibration& calibration, std::vector<PlanDocument::Assumption>& assumptions);
/// From the document's own months, stock and years.
PlanDocument::Totals totals_block(const PlanDocument& document);
std::vector<PlanDocument::Assumption> assumption_blocks(const DocumentInput& input);

/// The warning of a plan without a back-test; add_backtest (hindcast_document.h) takes it away.
inline constexpr const char* kNoBacktest = "the back-test is not part of this plan: the command hindcast makes it, or plan --backtest";

/// The cautions every report prints (trade notes, section 8).
const std::vector<std::string>& cautions();

/// Range over the scenarios where the value is defined (not NaN); all NaN where it never is.
Range range_where_defined(const std::vector<double>& values, const std::vector<double>& weights);

}  // namespace rickyard
