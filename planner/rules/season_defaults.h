#pragma once
// Fills what the user left out, and lists every default that was used.
#include <string>
#include <string_view>

#include "planner/season/season.h"

namespace rickyard {

/// Fills every optional field marked "default" in season.h, in the order of METHODS.md, and adds to defaults_used one entry
/// per field (value, unit, status, source, number of rows). Running it twice changes nothing.
/// Fields that a default needs and that are missing or impossible (no yield, no as_of) leave the default empty.
void apply_defaults(Season& season);

/// Adds to defaults_used that `rows` rows took the default of a field; `value` as it is in force;
/// where rows took different values the entry says how the default is made.
/// The reader calls it for fields that cannot be empty in Season (words, months).
void record_default(Season& season, std::string_view table, std::string_view field, std::string_view value, int rows = 1);

/// A patch whose stop was left out follows its limit by the claim width of the season: stop = limit + (season's stop - season's limit).
SeasonPatch completed_patch(const Season& season, SeasonPatch patch);

}  // namespace rickyard
