#pragma once
// Model calendars and how their days fall on real Gregorian days (METHODS.md, "Calendars").
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "planner/base/calendar.h"

namespace rickyard {

enum class ModelCalendar { gregorian, days_365, days_360 };

/// CF names: standard, gregorian, proleptic_gregorian; 365_day, noleap; 360_day. nullopt for anything else.
std::optional<ModelCalendar> parse_calendar(std::string_view text);
std::string calendar_name(ModelCalendar calendar);

/// A date in a model calendar (30 February exists in 360_day).
struct ModelDate {
  int year = 0, month = 1, day = 1;
  auto operator<=>(const ModelDate&) const = default;
};
std::string to_text(const ModelDate& date);

/// Consecutive days have consecutive indices; index 0 is 1 January 1970 of the calendar.
int day_index(ModelCalendar calendar, const ModelDate& date);
ModelDate date_of_index(ModelCalendar calendar, int index);
bool exists(ModelCalendar calendar, const ModelDate& date);
int days_in_year(ModelCalendar calendar, int year);

/// The real day (day_number) on which a model day falls. 365_day: the same date. 360_day: day k (0..359) of the year falls
/// on real day floor(k L / 360) of that year, L = 365 or 366.
int real_day(ModelCalendar calendar, int index);

/// Real days of n consecutive model days from `first`. A model day owns its real day and the unassigned ones after it,
/// which take its temperatures and no rain, so totals are conserved.
struct RealDays {
  Date first_day{boost::date_time::not_a_date_time};
  int days = 0;
  std::vector<int> start;  // [model day] offset from first_day of its own real day
  std::vector<int> count;  // [model day] real days it owns, at least 1
};
RealDays real_days(ModelCalendar calendar, int first, int n);

}  // namespace rickyard
