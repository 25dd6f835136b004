#pragma once
// The result of the command `hindcast`: io writes it as hindcast.json, reports show it, nobody recomputes it. Units as in plan_document.h.
#include <optional>
#include <string>
#include <vector>

#include "planner/document/plan_document.h"
#include "planner/hindcast/hindcast.h"
#include "planner/season/season.h"

namespace rickyard {

inline constexpr const char* kHindcastSchema = "1";

struct HindcastDocument {
  struct SeasonBlock {
    int crop_year = 0;
    double limit_n_pct = 0, stop_n_pct = 0;
    std::optional<double> floor_n_pct;
    std::string model;
    unsigned seed = 0;
  };

  std::string version;
  SeasonBlock season;
  PlanDocument::Backtest backtest;  // on the first date
  Hindcast hindcast;
  std::vector<std::string> warnings, cautions;
  std::vector<PlanDocument::Assumption> assumptions;
  std::vector<PlanDocument::Input> inputs;
};

/// The scores of the first date in short.
PlanDocument::Backtest backtest_of(const Hindcast& hindcast);

/// What a hindcast cannot know of itself: kind of test, what was left out, how much land.
std::vector<std::string> hindcast_warnings(const Hindcast& hindcast);

/// Printed wherever past scores are shown.
extern const char* const kPastScoresCaution;

/// Puts a hindcast's answer beside the plan: block, warnings, caution.
void add_backtest(const Hindcast& hindcast, PlanDocument& plan);

/// warnings: of reading season and rasters, kept first.
HindcastDocument build_hindcast_document(const Season& season, Hindcast hindcast, std::vector<std::string> warnings,
                                         std::vector<PlanDocument::Input> inputs, const std::string& version);

}  // namespace rickyard
