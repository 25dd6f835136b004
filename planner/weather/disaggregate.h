#pragma once
// Daily weather from monthly totals: a two-state Markov chain for wet days, gamma amounts, exact monthly totals.
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"
#include "planner/weather/monthly_archive.h"

namespace rickyard {

/// Daily archive from the first day of the first month to the last day of the last, marked rain_disaggregated.
/// Each month's daily rain adds up to its total rounded to 0.01 mm, exactly; each month's daily tmin and tmax average to the
/// monthly mean rounded so that the sum is a whole number of 0.01 C. A missing month (NaN) gives missing days.
/// variant: which draw of the daily rain, 0 .. monthly_draws - 1; temperatures are the same in all. Draws and law: daily_rain.h.
/// InputError where land and archive differ in cells, rain is negative, or a total is beyond 655.34 mm on every day.
WeatherArchive disaggregate(const MonthlyArchive& monthly, const Land& land, const Season& season, int variant = 0);

}  // namespace rickyard
