// What deliveries moved: the entries of the calibration as they stand in the plan, and the lines about them among the assumptions.
#include <fmt/format.h>

#include <algorithm>

#include "planner/document/build_document.h"

namespace rickyard {

std::vector<PlanDocument::CalibrationEntry> calibration_block(const Calibration& calibration) {
  std::vector<PlanDocument::CalibrationEntry> block;
  for (const auto& one : calibration.entries)
    block.push_back({one.name, one.unit, one.user, one.calibrated, one.seasons, one.standard_error, one.moved_by, one.note});
  return block;
}

void mention_calibration(const Calibration& calibration, std::vector<PlanDocument::Assumption>& all) {
  std::size_t figures = 0;
  for (const auto& entry : calibration.entries) {
    const auto stated = std::find_if(all.begin(), all.end(), [&](const PlanDocument::Assumption& one) { return one.name == entry.name; });
    if (stated == all.end()) {
      figures += 1;
      continue;
    }
    stated->source = fmt::format("past deliveries; {} {:.6g}", stated->status == "yours" ? "yours" : "default", entry.user);
    stated->status = "derived";
  }
  all.push_back({"calibration", calibration.used ? fmt::format("{} figures", figures) : "none", "", "derived",
                 calibration.used ? "yields and nitrogen of the contracts moved by past deliveries, see the calibration block"
                                  : "no past deliveries were used"});
}

}  // namespace rickyard
