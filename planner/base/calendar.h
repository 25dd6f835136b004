#pragma once
// Dates, months and crop years. Dates are Boost.Date_Time gregorian dates; kernels use day numbers.
#include <boost/date_time/gregorian/gregorian_types.hpp>
#include <compare>
#include <optional>
#include <string>
#include <string_view>

namespace rickyard {

using Date = boost::gregorian::date;

/// Days since 1970-01-01 (day 0). Any Gregorian date from 1400-01-01 to 9999-12-31.
int day_number(const Date& date);
Date date_of(int day_number);

/// 1..366.
int day_of_year(const Date& date);

struct IsoWeekDate {
  int year, week, weekday;  // weekday 1 = Monday .. 7 = Sunday
  auto operator<=>(const IsoWeekDate&) const = default;
};
/// ISO 8601 week date, Gregorian calendar.
IsoWeekDate iso_week_date(const Date& date);

/// FAO-56 day number of the year: int(275 M/9 - 30 + D) - 2, +2 if M < 3, +1 in a leap year if M > 2. 1..366.
int fao56_day_number(const Date& date);

/// Parses exactly YYYY-MM-DD; nothing else (no slashes, no one-digit months), nullopt otherwise.
std::optional<Date> parse_date(std::string_view text);
/// YYYY-MM-DD.
std::string to_text(const Date& date);

/// A calendar month. `month` is 1..12.
struct Month {
  int year = 0;
  int month = 1;
  auto operator<=>(const Month&) const = default;
};
/// Months since year 0; differences of indices are numbers of months.
int month_index(const Month& month);
Month month_of_index(int index);
Month month_of(const Date& date);
int days_in(const Month& month);
Date first_day(const Month& month);
Date last_day(const Month& month);
Month add_months(const Month& month, int n);
/// Parses exactly YYYY-MM.
std::optional<Month> parse_month(std::string_view text);
std::string to_text(const Month& month);

/// A day in any year; 29 February becomes 28 February in common years.
struct MonthDay {
  int month = 1;
  int day = 1;
  auto operator<=>(const MonthDay&) const = default;
};
Date in_year(const MonthDay& month_day, int year);
/// Parses exactly MM-DD.
std::optional<MonthDay> parse_month_day(std::string_view text);
std::string to_text(const MonthDay& month_day);

}  // namespace rickyard
