#include "geo/calendar_map.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

#include "geo/time_axis.h"

using namespace rickyard;

namespace {

std::vector<ModelDate> decoded(const char* unit, ModelCalendar calendar, const std::vector<double>& values) {
  const auto result = decode_cf_times(unit, calendar, values);
  REQUIRE_MESSAGE(std::holds_alternative<std::vector<ModelDate>>(result), std::get<std::string>(result));
  return std::get<std::vector<ModelDate>>(result);
}

std::string refused(const char* unit, const std::vector<double>& values = {0}) {
  const auto result = decode_cf_times(unit, ModelCalendar::gregorian, values);
  return std::holds_alternative<std::string>(result) ? std::get<std::string>(result) : "accepted";
}

}  // namespace

TEST_CASE("365_day: dates keep their names and 29 February belongs to the 28th") {
  const auto c = ModelCalendar::days_365;
  const int first = day_index(c, {2003, 1, 1});
  const auto days = real_days(c, first, 3 * 365);
  CHECK(to_text(days.first_day) == "2003-01-01");
  CHECK(days.days == 365 + 366 + 365);
  // Position of 28 February 2004: the second year, day 58.
  const std::size_t at = 365 + 58;
  CHECK(to_text(date_of(day_number(days.first_day) + days.start[at])) == "2004-02-28");
  CHECK(days.count[at] == 2);
  CHECK(std::count(days.count.begin(), days.count.end(), 1) == 3 * 365 - 1);
  CHECK(to_text(date_of_index(c, first + 365 + 59)) == "2004-03-01");
}

TEST_CASE("360_day: day k falls on floor(k L / 360), every real day belongs to one model day") {
  const auto c = ModelCalendar::days_360;
  for (const int year : {2003, 2004}) {
    const int length = year == 2004 ? 366 : 365;
    const auto days = real_days(c, day_index(c, {year, 1, 1}), 360);
    CHECK(days.days == length);
    for (int k = 0; k < 360; ++k) CHECK(days.start[static_cast<std::size_t>(k)] == k * length / 360);
    CHECK(std::accumulate(days.count.begin(), days.count.end(), 0) == length);
    CHECK(*std::max_element(days.count.begin(), days.count.end()) == 2);
  }
  CHECK(exists(c, {2003, 2, 30}));
  CHECK_FALSE(exists(c, {2003, 1, 31}));
}

TEST_CASE("indices and dates are inverse in every calendar, before and after 1970") {
  for (const auto c : {ModelCalendar::gregorian, ModelCalendar::days_365, ModelCalendar::days_360})
    for (int index = -40000; index < 40000; index += 7) CHECK(day_index(c, date_of_index(c, index)) == index);
}

TEST_CASE("CF times") {
  const auto standard = ModelCalendar::gregorian;
  CHECK(decoded("days since 1950-01-01 00:00:00", standard, {17927})[0] == ModelDate{1999, 1, 31});  // bcsd_obs_1999.nc, first month
  CHECK(decoded("hours since 1900-01-01 00:00:0.0", standard, {24 * 36524.0})[0] == ModelDate{2000, 1, 1});
  CHECK(decoded("days since 2001-1-1 12:00", standard, {0, 0.5})[0] == ModelDate{2001, 1, 1});
  CHECK(decoded("days since 2001-1-1 12:00", standard, {0, 0.5})[1] == ModelDate{2001, 1, 2});
  CHECK(decoded("seconds since 2001-01-01T00:00:00Z", standard, {86400 * 59.0})[0] == ModelDate{2001, 3, 1});
  CHECK(decoded("days since 2001-01-01", ModelCalendar::days_360, {59})[0] == ModelDate{2001, 2, 30});
  CHECK(decoded("days since 2000-01-01", ModelCalendar::days_365, {59})[0] == ModelDate{2000, 3, 1});
  CHECK(decoded("days since 2000-01-01", standard, {0.99999})[0] == ModelDate{2000, 1, 2});  // rounding of hours as days
  CHECK(refused("months since 2000-01-01") == "is not of the form \"days since 1950-01-01\" (days, hours, minutes or seconds)");
  CHECK(refused("days since 2000-02-30") == "has a reference date that cannot be used (years 1400 to 9998)");
  CHECK(refused("days since 1500-01-01") == "has a reference date before the Gregorian calendar (15 October 1582)");
  CHECK(refused("days since 2000-01-01 00:00:00 +02:00") == "names a time zone other than UTC");
  CHECK(refused("days since 2000-01-01", {1, std::nan("")}) == "gives no usable date for time step 2 (value nan)");
  CHECK(refused("days since 2000-01-01", {9e15}) == "gives no usable date for time step 1 (value 9e+15)");
}

TEST_CASE("calendars that are not known are refused") {
  CHECK(parse_calendar("noleap") == ModelCalendar::days_365);
  CHECK(parse_calendar("proleptic_gregorian") == ModelCalendar::gregorian);
  CHECK_FALSE(parse_calendar("julian").has_value());
  CHECK_FALSE(parse_calendar("all_leap").has_value());
}

TEST_CASE("sidecar dates") {
  const auto good = parse_date_lines("date\r\n2001-01-01\r\n2001-01-02\r\n\r\n", ModelCalendar::gregorian);
  CHECK(std::get<0>(good) == std::vector<ModelDate>{{2001, 1, 1}, {2001, 1, 2}});
  CHECK(std::get<1>(parse_date_lines("2001-01-01\n2001/01/02\n", ModelCalendar::gregorian)) ==
        "line 2: \"2001/01/02\" is not a date YYYY-MM-DD");
  CHECK(std::get<1>(parse_date_lines("2001-02-30\n", ModelCalendar::gregorian)) == "line 1: \"2001-02-30\" is not a date YYYY-MM-DD");
  CHECK(std::get<1>(parse_date_lines("2001-01-01\n\n2001-01-02\n", ModelCalendar::gregorian)) == "line 2 is empty");
  CHECK(std::get<0>(parse_date_lines("2001-02\n", ModelCalendar::gregorian)) == std::vector<ModelDate>{{2001, 2, 1}});
}
