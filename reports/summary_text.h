#pragma once
// What a buyer reads in ten seconds on a terminal.
#include <string>

#include "planner/document/plan_document.h"

namespace rickyard {

/// Plain text, lines of at most 80 characters, newline at the end. The first sentence answers the question and says unmet
/// need first if there is any. Figures are those of the document, rounded to what their range justifies: tonnes to tens
/// above 1,000, shares and chances to whole per cent, money to three figures. Control characters in names are left out.
std::string summary_text(const PlanDocument& document);

}  // namespace rickyard
