#pragma once
// The sentences of sowing advice: what is said as chance, never as an order.
#include "planner/sowing/sowing_places.h"

namespace rickyard {

/// What a reader of a place's figures must know about where they come from.
std::vector<std::string> place_notes(const Season& season, const SowingPlace& place);
std::string known_words(const KnownSoFar& known);

/// The last date tried whose mean qualifying t/ha is at least `share` of the best date's, of crops that wait for the soil.
LastSensible last_sensible(const std::vector<SowingDate>& dates, double share);

/// What the harvest figures assume, from the parameters: days needed against days had, failure added by a late harvest.
std::string harvest_words(const Season& season);

}  // namespace rickyard
