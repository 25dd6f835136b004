#pragma once
// Tonnes inside the document's sentences.
#include <string>

namespace rickyard {

/// "under 1 t", "840 t", "12,350 t": to tens from 1,000 on, as a buyer reads them.
std::string tonne_words(double t);

}  // namespace rickyard
