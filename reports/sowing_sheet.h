#pragma once
// One A4 page for one place that a grower would pin to a wall: chance, not order.
#include <string>

#include "planner/document/sowing_document.h"

namespace rickyard {

/// A page of HTML that needs nothing else: light and dark, prints on one A4 page. place: index into document.sowing.
std::string sowing_sheet(const SowingDocument& document, std::size_t place);

}  // namespace rickyard
