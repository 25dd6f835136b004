#pragma once
// Which harvest years an archive holds, and the days of each that matter.
#include <vector>

#include "planner/season/season.h"
#include "planner/weather/archive.h"

namespace rickyard {

/// One season: from season_start of the year before harvest to season_end of the harvest year. Season days are 0-based;
/// `first` is the archive day of season day 0 and is negative where the archive begins later.
struct SeasonWindow {
  int harvest_year = 0;
  int first = 0;       // archive day of season day 0
  int begin = 0;       // season day on which the simulation starts: 0, or the first day of the archive
  int days = 0;        // season days; 426 from 1 September to 31 October, 427 in a leap year
  int carry = 0;       // last season day before the next season starts: its evening is the next season's beginning
  int autumn = 0;      // one month after the first day: 1 October
  int winter_end = 0;  // seven months after the first day, less a day: 31 March
  int summer_end = 0;  // eleven months after the first day, less a day: 31 July
};

/// Season day of a month-day in the season of `harvest_year`: the first such date on or after the season's first day.
int season_day(const Season& season, int harvest_year, const MonthDay& month_day);

/// The same for a harvest date: the last such date on or before season_end of `harvest_year`.
int harvest_season_day(const Season& season, int harvest_year, const MonthDay& month_day);

/// The window of any harvest year on the days of an archive, whether or not they lie in it.
SeasonWindow season_window(const Season& season, int harvest_year, const WeatherArchive& archive);

/// Windows of the harvest years that can be simulated for all `planned` dates, ascending.
/// previous_year: whole seasons only. field_capacity: the archive must begin on or before the earliest planned date.
/// InputError where there is none, or where season_end comes before the day before season_start (the soil could not run on).
std::vector<SeasonWindow> season_windows(const Season& season, const WeatherArchive& archive, const std::vector<MonthDay>& planned);

}  // namespace rickyard
