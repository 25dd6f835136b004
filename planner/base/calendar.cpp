#include "planner/base/calendar.h"

#include <fmt/format.h>

#include <boost/date_time/gregorian/gregorian.hpp>
#include <charconv>

namespace rickyard {
namespace {

const Date& epoch() {
  static const Date date(1970, 1, 1);
  return date;
}

// Reads exactly `digits` decimal digits at `at`; -1 where there is anything else.
int fixed_number(std::string_view text, std::size_t at, std::size_t digits) {
  int value = 0;
  for (std::size_t i = at; i < at + digits; ++i) {
    if (i >= text.size() || text[i] < '0' || text[i] > '9') return -1;
    value = value * 10 + (text[i] - '0');
  }
  return value;
}

bool is_leap(int year) { return boost::gregorian::gregorian_calendar::is_leap_year(static_cast<unsigned short>(year)); }

}  // namespace

int day_number(const Date& date) { return static_cast<int>((date - epoch()).days()); }
Date date_of(int day_number) { return epoch() + boost::gregorian::days(day_number); }
int day_of_year(const Date& date) { return date.day_of_year(); }

IsoWeekDate iso_week_date(const Date& date) {
  const int weekday = (date.day_of_week().as_number() + 6) % 7 + 1;
  const Date thursday = date + boost::gregorian::days(4 - weekday);
  return {thursday.year(), (day_of_year(thursday) - 1) / 7 + 1, weekday};
}

int fao56_day_number(const Date& date) {
  const int month = date.month();
  int j = 275 * month / 9 - 30 + date.day() - 2;
  if (month < 3) return j + 2;
  return is_leap(date.year()) ? j + 1 : j;
}

std::optional<Date> parse_date(std::string_view text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return std::nullopt;
  const int year = fixed_number(text, 0, 4), month = fixed_number(text, 5, 2), day = fixed_number(text, 8, 2);
  if (year < 1400 || month < 1 || month > 12 || day < 1 || day > days_in({year, month})) return std::nullopt;
  return Date(static_cast<unsigned short>(year), static_cast<unsigned short>(month), static_cast<unsigned short>(day));
}

std::string to_text(const Date& date) {
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(date.year()), static_cast<int>(date.month()), static_cast<int>(date.day()));
}

int month_index(const Month& month) { return month.year * 12 + month.month - 1; }
Month month_of_index(int index) { return {index / 12, index % 12 + 1}; }
Month month_of(const Date& date) { return {date.year(), date.month()}; }
int days_in(const Month& month) {
  return boost::gregorian::gregorian_calendar::end_of_month_day(static_cast<unsigned short>(month.year),
                                                                static_cast<unsigned short>(month.month));
}
Date first_day(const Month& month) { return Date(static_cast<unsigned short>(month.year), static_cast<unsigned short>(month.month), 1); }
Date last_day(const Month& month) { return first_day(month).end_of_month(); }
Month add_months(const Month& month, int n) { return month_of_index(month_index(month) + n); }

std::optional<Month> parse_month(std::string_view text) {
  if (text.size() != 7 || text[4] != '-') return std::nullopt;
  const int year = fixed_number(text, 0, 4), month = fixed_number(text, 5, 2);
  if (year < 1400 || month < 1 || month > 12) return std::nullopt;
  return Month{year, month};
}

std::string to_text(const Month& month) { return fmt::format("{:04}-{:02}", month.year, month.month); }

Date in_year(const MonthDay& month_day, int year) {
  const int day = std::min(month_day.day, days_in({year, month_day.month}));
  return Date(static_cast<unsigned short>(year), static_cast<unsigned short>(month_day.month), static_cast<unsigned short>(day));
}

std::optional<MonthDay> parse_month_day(std::string_view text) {
  if (text.size() != 5 || text[2] != '-') return std::nullopt;
  const int month = fixed_number(text, 0, 2), day = fixed_number(text, 3, 2);
  if (month < 1 || month > 12 || day < 1 || day > days_in({2000, month})) return std::nullopt;
  return MonthDay{month, day};
}

std::string to_text(const MonthDay& month_day) { return fmt::format("{:02}-{:02}", month_day.month, month_day.day); }

}  // namespace rickyard
