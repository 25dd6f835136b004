#pragma once
// Whose sowing is looked at: the contract row that speaks, its land units, its sowing dates.
#include "planner/sowing/make_advice.h"

namespace rickyard {

struct SowingPlace {
  std::size_t contract = 0;  // row that speaks for the region
  std::string region, name;
  std::optional<std::array<double, 2>> at;
  std::vector<int> units;     // ascending; empty with model = formulas
  std::vector<double> share;  // of the hectares, sums to 1
  Date earliest{boost::date_time::not_a_date_time}, planned{boost::date_time::not_a_date_time}, latest{boost::date_time::not_a_date_time};
};

/// land: null with model = formulas. Errors as sowing_advice.
std::vector<SowingPlace> sowing_places(const Season& season, const SowingRequest& request, const Land* land);

/// From earliest every sowing_step_days up to latest + sowing_after_latest_days, the planned date in place of one close to it; ascending.
std::vector<Date> dates_tried(const Season& season, const SowingPlace& place);

MonthDay month_day(const Date& date);

}  // namespace rickyard
