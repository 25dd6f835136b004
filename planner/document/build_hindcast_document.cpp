#include <fmt/format.h>

#include "planner/document/build_document.h"
#include "planner/document/hindcast_document.h"
#include "planner/document/parameter_assumptions.h"
#include "planner/quality/bands.h"

namespace rickyard {
namespace {

HindcastDocument::SeasonBlock season_block(const Season& season) {
  const BandLimits limits = band_limits(season, {});
  return {season.crop_year, limits.limit, limits.stop, season.spec.floor_n_pct, season.model == ForecastModel::daily ? "daily" : "formulas",
          season.seed};
}

}  // namespace

const char* const kPastScoresCaution =
    "Past scores promise nothing: land, varieties, growers and weather change, and few seasons tell little. Seasons are forecast from all "
    "other seasons, later ones too, which a forecaster of the time did not have.";

PlanDocument::Backtest backtest_of(const Hindcast& hindcast) {
  PlanDocument::Backtest out;
  const bool deliveries = hindcast.kind == HindcastKind::deliveries;
  out.kind = deliveries ? "deliveries" : "self-test";
  out.of = hindcast.main == Quantity::qualifying ? "qualifying" : "delivered";
  out.date = hindcast.dates.front().name;
  const HindcastScores* headline = hindcast.headline();
  if (!headline) {
    out.reason = "no season could be scored";
    return out;
  }
  const Scores& scores = headline->scores;
  out.n = scores.n;
  out.hits = scores.hits;
  out.hits_interval = {scores.band.low, scores.band.high};
  out.bias = scores.bias;
  out.crps = scores.crps;
  out.crps_five_year_mean = scores.crps_five_year_mean;
  if (deliveries) out.verdict = verdict_words(scores.verdict);
  out.reason = scores.reason;
  return out;
}

std::vector<std::string> hindcast_warnings(const Hindcast& hindcast) {
  std::vector<std::string> out;
  if (hindcast.kind == HindcastKind::self_test)
    out.push_back(
        "not evidence of skill: no past deliveries are given, so past seasons are scored against the model's own harvests; this shows that "
        "ranges and scores are made as they should be, and nothing about your fields. Give a history table");
  out.insert(out.end(), hindcast.notes.begin(), hindcast.notes.end());
  if (hindcast.units < hindcast.units_of_land)
    out.push_back(
        fmt::format("past seasons: {} of {} land units speak for the regions, drawn evenly over their hectares; hindcast_units_per_region "
                    "= 0 grows them all",
                    hindcast.units, hindcast.units_of_land));
  return out;
}

void add_backtest(const Hindcast& hindcast, PlanDocument& plan) {
  plan.backtest = backtest_of(hindcast);
  std::erase(plan.warnings, kNoBacktest);
  const auto warnings = hindcast_warnings(hindcast);
  plan.warnings.insert(plan.warnings.end(), warnings.begin(), warnings.end());
  plan.cautions.push_back(kPastScoresCaution);
}

HindcastDocument build_hindcast_document(const Season& season, Hindcast hindcast, std::vector<std::string> warnings,
                                         std::vector<PlanDocument::Input> inputs, const std::string& version) {
  HindcastDocument document;
  document.version = version;
  document.season = season_block(season);
  document.backtest = backtest_of(hindcast);
  document.warnings = std::move(warnings);
  const auto own = hindcast_warnings(hindcast);
  document.warnings.insert(document.warnings.end(), own.begin(), own.end());
  document.cautions.push_back(kPastScoresCaution);
  document.cautions.insert(document.cautions.end(), cautions().begin(), cautions().end());
  document.assumptions = parameter_assumptions(season);
  document.inputs = std::move(inputs);
  document.hindcast = std::move(hindcast);
  return document;
}

}  // namespace rickyard
