#pragma once
// How much of the season in hand is known.
#include "planner/base/calendar.h"

namespace rickyard {

/// The weather of one season is known up to and including `through`, a day of the archive inside that season.
struct KnownWeather {
  int harvest_year = 0;
  Date through{boost::date_time::not_a_date_time};
};

}  // namespace rickyard
