#pragma once
// Weather of the season in hand, known up to a day, in front of the remainder of every past season.
#include <vector>

#include "planner/crop/season_windows.h"
#include "planner/weather/known_weather.h"

namespace rickyard {

/// Where one season day of a past year takes its weather from.
struct SplicedDay {
  int known = -1;        // season day of the season in hand; -1: the past year's own day
  bool no_rain = false;  // 29 February where the season in hand has none: the day before it, without its rain
};

/// The season in hand and what is needed to put it in front of the past years.
struct Splice {
  SeasonWindow season;                        // of the season in hand
  int last = -1;                              // its last known season day
  std::vector<SeasonWindow> before;           // past seasons up to its first day, run plainly for the soil water it begins with
  std::vector<std::vector<SplicedDay>> days;  // [window][season day]
};

/// windows: the past years that are kept (the season in hand is not among them). Days pair by month and day.
Splice make_splice(const Season& season, const WeatherArchive& archive, const std::vector<SeasonWindow>& windows,
                   const KnownWeather& known);

}  // namespace rickyard
