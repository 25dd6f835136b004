#include "planner/crop/default_run.h"

namespace rickyard {

MonthDay moved(const MonthDay& from, int days) {
  const Date date = date_of(day_number(in_year(from, 2001)) + days);
  return {date.month().as_number(), date.day().as_number()};
}

CropRun default_run(const Season& season, int shift_days) {
  CropRun run;
  run.planned = moved(season.season_start, static_cast<int>(season.parameters["sowing_flat_days"]) + shift_days);
  run.wait_days = static_cast<int>(season.parameters["sow_wait_days"]);
  return run;
}

}  // namespace rickyard
