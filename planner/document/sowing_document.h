#pragma once
// The result of the command `sowing`: io writes it as sowing.json, reports show it, nobody recomputes it.
// Units as in plan_document.h; t/ha on harvested area.
#include <optional>
#include <string>
#include <vector>

#include "planner/document/plan_document.h"
#include "planner/season/season.h"
#include "planner/sowing/sowing_advice.h"

namespace rickyard {

inline constexpr const char* kSowingSchema = "1";

struct SowingDocument {
  struct SeasonBlock {
    int crop_year = 0;
    Date as_of{boost::date_time::not_a_date_time};
    double limit_n_pct = 0, stop_n_pct = 0;
    std::optional<double> floor_n_pct;
    double screenings_max_pct = 0;
    std::string model;
  };
  struct Year {
    int year = 0;
    double weight = 0;
  };

  std::string version;
  SeasonBlock season;
  std::vector<Year> years;  // those of every place's curves
  std::vector<SowingAdvice> sowing;
  std::string harvest_rule;  // what the harvest figures assume
  std::vector<std::string> warnings, cautions;
  std::vector<PlanDocument::Assumption> assumptions;
  std::vector<PlanDocument::Input> inputs;
};

/// warnings: of reading season and rasters, kept first. advice: at least one place.
SowingDocument build_sowing_document(const Season& season, std::vector<SowingAdvice> advice, std::vector<std::string> warnings,
                                     std::vector<PlanDocument::Input> inputs, const std::string& version);

}  // namespace rickyard
