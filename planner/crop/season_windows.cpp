#include "planner/crop/season_windows.h"

#include <fmt/format.h>

#include <algorithm>
#include <boost/date_time/gregorian/gregorian_types.hpp>

#include "planner/base/problem.h"

namespace rickyard {
namespace {

// Season day of the date `months` months after the first day (29 to 31 become the last day of a short month).
int months_after(const MonthDay& start, int harvest_year, int months) {
  const Month month = add_months({harvest_year - 1, start.month}, months);
  return day_number(in_year({month.month, start.day}, month.year)) - day_number(in_year(start, harvest_year - 1));
}

SeasonWindow window_of(const Season& season, int harvest_year, int archive_first_day) {
  SeasonWindow window;
  window.harvest_year = harvest_year;
  const int start = day_number(in_year(season.season_start, harvest_year - 1));
  window.first = start - archive_first_day;
  window.begin = std::max(-window.first, 0);
  window.days = day_number(in_year(season.season_end, harvest_year)) - start + 1;
  window.carry = day_number(in_year(season.season_start, harvest_year)) - start - 1;
  window.autumn = months_after(season.season_start, harvest_year, 1);
  window.winter_end = months_after(season.season_start, harvest_year, 7) - 1;
  window.summer_end = months_after(season.season_start, harvest_year, 11) - 1;
  return window;
}

[[noreturn]] void refuse(const char* place, std::string value, const char* message, const char* remedy) {
  throw InputError({{Severity::error, place, std::move(value), message, remedy}});
}

}  // namespace

SeasonWindow season_window(const Season& season, int harvest_year, const WeatherArchive& archive) {
  return window_of(season, harvest_year, day_number(archive.first_day));
}

int season_day(const Season& season, int harvest_year, const MonthDay& month_day) {
  const int start = day_number(in_year(season.season_start, harvest_year - 1));
  const int before = day_number(in_year(month_day, harvest_year - 1)) - start;
  return before >= 0 ? before : day_number(in_year(month_day, harvest_year)) - start;
}

int harvest_season_day(const Season& season, int harvest_year, const MonthDay& month_day) {
  const int start = day_number(in_year(season.season_start, harvest_year - 1));
  const int in_harvest_year = day_number(in_year(month_day, harvest_year));
  const bool inside = in_harvest_year <= day_number(in_year(season.season_end, harvest_year));
  return (inside ? in_harvest_year : day_number(in_year(month_day, harvest_year - 1))) - start;
}

std::vector<SeasonWindow> season_windows(const Season& season, const WeatherArchive& archive, const std::vector<MonthDay>& planned) {
  const int archive_first = day_number(archive.first_day);
  const int first_year = archive.first_day.year(), last_year = date_of(archive_first + std::max(archive.days, 1) - 1).year();
  const bool run_on = season.start == SeasonStart::previous_year;
  std::vector<SeasonWindow> windows;
  for (int year = first_year; year <= last_year; ++year) {
    const auto window = window_of(season, year, archive_first);
    if (window.days <= window.carry)
      refuse("season.toml (season_end)", to_text(season.season_end), "the season ends before the next one starts",
             "give a season_end on or after the day before season_start");
    if (window.first + window.days > archive.days) continue;
    int latest_begin = run_on ? 0 : window.days;
    if (!run_on)
      for (const auto& date : planned) latest_begin = std::min(latest_begin, season_day(season, year, date));
    if (window.begin <= latest_begin) windows.push_back(window);
  }
  if (windows.empty())
    refuse("rasters", fmt::format("{} to {}", to_text(archive.first_day), to_text(date_of(archive_first + archive.days - 1))),
           "the weather archive holds no whole season from season_start to season_end",
           run_on
               ? "give at least 14 months of weather from season_start on, or set start = \"field_capacity\" where it begins before sowing"
               : "give weather from before the planned sowing date to season_end");
  return windows;
}

}  // namespace rickyard
