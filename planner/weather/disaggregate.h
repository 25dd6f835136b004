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
/// Draws: DrawPurpose::disaggregation, counter (calendar year, month 1..12, cell, 2 x day of the month from 0 + {0 occurrence, 1 amount}).
/// Parameters: wet_day_mean_mm, wet_day_persistence, wet_day_gamma_shape. InputError where land and archive differ in cells,
/// rain is negative, or a total is beyond 655.34 mm on every day.
WeatherArchive disaggregate(const MonthlyArchive& monthly, const Land& land, const Season& season);

}  // namespace rickyard
