#pragma once
// The result of the command `hindcast`: io writes it as hindcast.json, reports show it, nobody recomputes it. Units as in plan_document.h.
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "planner/document/plan_document.h"
#include "planner/hindcast/hindcast.h"
#include "planner/season/season.h"

namespace rickyard {

inline constexpr const char* kHindcastSchema = "1";

/// The answer in short: the total of the main quantity on the first date. A self-test has no verdict; nor has a hindcast that scored
/// nothing.
struct Backtest {
  std::string kind;  // "deliveries" or "self-test"
  std::string of;    // "qualifying" or "delivered"
  std::string date;  // as in HindcastDate
  int n = 0, hits = 0;
  std::array<int, 2> hits_interval{};
  double bias = 0, crps = 0;                  // t
  std::optional<double> crps_five_year_mean;  // t
  std::optional<std::string> verdict;
  std::string reason;
};

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
  Backtest backtest;
  Hindcast hindcast;
  std::vector<std::string> warnings, cautions;
  std::vector<PlanDocument::Assumption> assumptions;
  std::vector<PlanDocument::Input> inputs;
};

/// warnings: of reading season and rasters, kept first.
HindcastDocument build_hindcast_document(const Season& season, Hindcast hindcast, std::vector<std::string> warnings,
                                         std::vector<PlanDocument::Input> inputs, const std::string& version);

}  // namespace rickyard
