#pragma once
// What a buyer reads after `contract`: what to sign, by when, what more safety costs.
#include <string>

#include "planner/document/plan_document.h"

namespace rickyard {

/// Plain text as summary_text: lines of at most 80 characters, figures of the document rounded for reading, the cautions last.
/// The document must hold `decision`.
std::string contract_text(const PlanDocument& document);

}  // namespace rickyard
