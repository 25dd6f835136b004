#pragma once
// Monthly weather, as some archives hold it; disaggregation turns it into a daily archive.
#include <vector>

#include "planner/base/calendar.h"

namespace rickyard {

/// All arrays: [month][cell], cell fastest; month 0 = first_month; NaN where missing.
struct MonthlyArchive {
  int cells = 0;
  int months = 0;
  Month first_month;
  std::vector<double> rain_mm;         // total of the month
  std::vector<double> tmin_c, tmax_c;  // monthly means of daily extremes
  std::vector<double> wet_days;        // days with rain, 0..31; empty where not supplied, NaN where not known
};

}  // namespace rickyard
