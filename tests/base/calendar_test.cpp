// Calendar against published dates. Sources beside each row.
#include <doctest/doctest.h>

#include <vector>

#include "planner/base/calendar.h"

using namespace rickyard;

namespace {
struct Row {
  const char* date;
  int weekday;  // 1 = Monday
  int iso_year, iso_week, day_of_year;
};
}  // namespace

TEST_CASE("ISO week dates and days of the year (check-values 12)") {
  // ISO 8601 text example; liquisearch.com ISO week date; M. Kuhn's date notation summary; others recomputed.
  const Row rows[] = {{"1985-04-12", 5, 1985, 15, 102}, {"2006-12-31", 7, 2006, 52, 365}, {"1996-12-30", 1, 1997, 1, 365},
                      {"1997-01-05", 7, 1997, 1, 5},    {"2012-12-31", 1, 2013, 1, 366},  {"2005-01-01", 6, 2004, 53, 1},
                      {"2008-12-29", 1, 2009, 1, 364},  {"2010-01-03", 7, 2009, 53, 3},   {"2020-12-31", 4, 2020, 53, 366},
                      {"2021-01-03", 7, 2020, 53, 3},   {"2024-12-30", 1, 2025, 1, 365},  {"2026-12-31", 4, 2026, 53, 365},
                      {"2024-02-29", 4, 2024, 9, 60},   {"2000-02-29", 2, 2000, 9, 60},   {"1900-03-01", 4, 1900, 9, 60}};
  for (const auto& row : rows) {
    CAPTURE(row.date);
    const auto date = parse_date(row.date);
    REQUIRE(date.has_value());
    CHECK(iso_week_date(*date) == IsoWeekDate{row.iso_year, row.iso_week, row.weekday});
    CHECK(day_of_year(*date) == row.day_of_year);
    CHECK(to_text(*date) == row.date);
    CHECK(date_of(day_number(*date)) == *date);
  }
}

TEST_CASE("Years with week 53 and the 400-year cycle (check-values 12)") {
  std::vector<int> long_years;
  for (int year = 2000; year <= 2050; ++year)
    if (iso_week_date(Date(static_cast<unsigned short>(year), 12, 28)).week == 53) long_years.push_back(year);
  CHECK(long_years == std::vector<int>{2004, 2009, 2015, 2020, 2026, 2032, 2037, 2043, 2048});
  int with_53 = 0, leap = 0;
  for (int year = 2000; year < 2400; ++year) {
    with_53 += iso_week_date(Date(static_cast<unsigned short>(year), 12, 28)).week == 53;
    leap += days_in({year, 2}) == 29;
  }
  CHECK(with_53 == 71);
  CHECK(leap == 97);
  CHECK(day_number(Date(2400, 1, 1)) - day_number(Date(2000, 1, 1)) == 146097);
}

TEST_CASE("FAO-56 day number of the year (check-values 12: 22 May 142, 6 July 187, 3 September 246)") {
  CHECK(fao56_day_number(Date(2023, 5, 22)) == 142);
  CHECK(fao56_day_number(Date(2023, 7, 6)) == 187);
  CHECK(fao56_day_number(Date(2023, 9, 3)) == 246);
  for (int day = day_number(Date(2023, 1, 1)); day <= day_number(Date(2024, 12, 31)); ++day)
    CHECK(fao56_day_number(date_of(day)) == day_of_year(date_of(day)));
}

TEST_CASE("Only YYYY-MM-DD is a date") {
  for (const char* bad : {"2027/03/01", "2027-3-1", "2027-02-29", "2027-13-01", "27-03-01", "2027-03-01 ", "", "2027-03-1x"}) {
    CAPTURE(bad);
    CHECK_FALSE(parse_date(bad).has_value());
  }
  CHECK(parse_month("2027-03") == Month{2027, 3});
  CHECK_FALSE(parse_month("2027-3").has_value());
  CHECK(parse_month_day("02-29") == MonthDay{2, 29});
  CHECK(in_year({2, 29}, 2027) == Date(2027, 2, 28));
}
