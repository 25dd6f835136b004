#pragma once
// The land's own crop: what a unit is taken to grow where nobody says more.
#include "planner/crop/crop_record.h"
#include "planner/season/season.h"

namespace rickyard {

/// Planned `sowing_flat_days` after season_start, moved by shift_days; waiting for `sow_wait_days`; no variety; units left empty.
/// Unmoved, it is also what leaves the soil water that every season of a unit begins with (METHODS.md, "Crop").
CropRun default_run(const Season& season, int shift_days = 0);

/// A month-day moved by days, by way of a year without 29 February.
MonthDay moved(const MonthDay& from, int days);

}  // namespace rickyard
