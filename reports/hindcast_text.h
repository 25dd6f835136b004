#pragma once
// The hindcast document as the short text that the command prints.
#include <string>

#include "planner/document/hindcast_document.h"

namespace rickyard {

std::string hindcast_text(const HindcastDocument& document);

}  // namespace rickyard
