#include "geo/calendar_map.h"

#include <fmt/format.h>

#include <array>

namespace rickyard {
namespace {

constexpr std::array<int, 13> kDaysBefore = {0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365};

int floor_div(int a, int b) { return a / b - (a % b != 0 && (a < 0) != (b < 0)); }
int january_first(int year) { return day_number(Date(static_cast<unsigned short>(year), 1, 1)); }

}  // namespace

std::optional<ModelCalendar> parse_calendar(std::string_view text) {
  if (text == "standard" || text == "gregorian" || text == "proleptic_gregorian") return ModelCalendar::gregorian;
  if (text == "365_day" || text == "noleap") return ModelCalendar::days_365;
  if (text == "360_day") return ModelCalendar::days_360;
  return std::nullopt;
}

std::string calendar_name(ModelCalendar calendar) {
  return calendar == ModelCalendar::gregorian ? "standard" : calendar == ModelCalendar::days_365 ? "365_day" : "360_day";
}

std::string to_text(const ModelDate& date) { return fmt::format("{:04}-{:02}-{:02}", date.year, date.month, date.day); }

bool exists(ModelCalendar calendar, const ModelDate& date) {
  if (date.year < 1400 || date.year > 9998 || date.month < 1 || date.month > 12 || date.day < 1) return false;
  if (calendar == ModelCalendar::days_360) return date.day <= 30;
  const int year = calendar == ModelCalendar::days_365 ? 2001 : date.year;
  return date.day <= days_in({year, date.month});
}

int days_in_year(ModelCalendar calendar, int year) {
  if (calendar == ModelCalendar::days_360) return 360;
  if (calendar == ModelCalendar::days_365) return 365;
  return january_first(year + 1) - january_first(year);
}

int day_index(ModelCalendar calendar, const ModelDate& date) {
  switch (calendar) {
    case ModelCalendar::days_365:
      return (date.year - 1970) * 365 + kDaysBefore[static_cast<std::size_t>(date.month - 1)] + date.day - 1;
    case ModelCalendar::days_360:
      return (date.year - 1970) * 360 + (date.month - 1) * 30 + date.day - 1;
    default:
      return day_number(
          Date(static_cast<unsigned short>(date.year), static_cast<unsigned short>(date.month), static_cast<unsigned short>(date.day)));
  }
}

ModelDate date_of_index(ModelCalendar calendar, int index) {
  if (calendar == ModelCalendar::gregorian) {
    const Date date = date_of(index);
    return {date.year(), date.month(), date.day()};
  }
  const int length = calendar == ModelCalendar::days_365 ? 365 : 360;
  const int years = floor_div(index, length), k = index - years * length;
  if (calendar == ModelCalendar::days_360) return {1970 + years, k / 30 + 1, k % 30 + 1};
  int month = 1;
  while (kDaysBefore[static_cast<std::size_t>(month)] <= k) ++month;
  return {1970 + years, month, k - kDaysBefore[static_cast<std::size_t>(month - 1)] + 1};
}

int real_day(ModelCalendar calendar, int index) {
  if (calendar == ModelCalendar::gregorian) return index;
  const ModelDate date = date_of_index(calendar, index);
  if (calendar == ModelCalendar::days_365)
    return day_number(
        Date(static_cast<unsigned short>(date.year), static_cast<unsigned short>(date.month), static_cast<unsigned short>(date.day)));
  const int k = (date.month - 1) * 30 + date.day - 1;
  const int length = days_in_year(ModelCalendar::gregorian, date.year);
  return january_first(date.year) + k * length / 360;
}

RealDays real_days(ModelCalendar calendar, int first, int n) {
  RealDays out;
  if (n <= 0) return out;
  const int origin = real_day(calendar, first);
  out.first_day = date_of(origin);
  for (int i = 0; i < n; ++i) {
    const int here = real_day(calendar, first + i), next = real_day(calendar, first + i + 1);
    out.start.push_back(here - origin);
    out.count.push_back(next - here);
  }
  out.days = out.start.back() + out.count.back();
  return out;
}

}  // namespace rickyard
