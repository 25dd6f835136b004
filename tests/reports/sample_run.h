#pragma once
// A small season whose numbers hang together: every balance of the plan holds, several ranges are undefined, one year
// has no weight, one region nothing that qualifies. Made by simple rules, not by the planner, so that reports can be
// tested without it.
#include "planner/document/build_document.h"

namespace rickyard {

struct SampleRun {
  Season season;
  SeasonPatch patch;
  Land land;
  HarvestForecast forecast;
  SupplyScenarios supply;
  Need need;
  SourcingResult sourcing;

  /// The document that build_document makes of it; with land and a map unless the season's model is formulas.
  PlanDocument document() const { return document_with(nullptr); }
  PlanDocument document_with(const ContractAnswers* answers) const;
};

/// Answers of the contract command for the sample season, made by hand: every block is filled, every figure that may be absent is
/// absent somewhere.
ContractAnswers sample_answers(const SampleRun& run);

SampleRun sample_run(ForecastModel model = ForecastModel::daily);

}  // namespace rickyard
