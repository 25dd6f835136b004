#pragma once
// The value rules of a season, once, for every way a value can come in: tables, season.toml, the page, a case.
#include <set>
#include <string>

#include "planner/base/finding.h"
#include "planner/season/season.h"

namespace rickyard {

/// Everything wrong or doubtful in a season after apply_defaults. FieldPath tables: the ten tables, "season" (dotted keys),
/// "case" and "share_limit" (row = position). `unread`: tables that could not be read, so that nothing is said about what they may hold.
Findings check_season(const Season& season, const std::set<std::string>& unread = {});

/// The same for a patch of a season that has passed: limits in order, names that exist, numbers in bounds. FieldPath table "case", row -1.
Findings check_patch(const Season& season, const SeasonPatch& patch);

}  // namespace rickyard
