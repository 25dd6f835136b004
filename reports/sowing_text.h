#pragma once
// The sowing document in a few lines, for the terminal.
#include <string>

#include "planner/document/sowing_document.h"

namespace rickyard {

/// At most 100 columns. Figures are fields of the document.
std::string sowing_text(const SowingDocument& document);

}  // namespace rickyard
