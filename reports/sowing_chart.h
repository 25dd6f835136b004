#pragma once
// The chart of the sowing sheet as SVG text.
#include <string>

#include "planner/document/sowing_document.h"

namespace rickyard {

/// Dates across, qualifying t/ha up: years as thin lines, the band from 1 year in 10 below to 1 in 10 above, the mean of crops that wait
/// for the soil, the mean of crops sown that very day (dashed), the planned date and the last sensible one; workable days between the
/// dates as a strip under the axis. Colours are classes of the sheet's style.
std::string sowing_chart(const SowingAdvice& place);

}  // namespace rickyard
