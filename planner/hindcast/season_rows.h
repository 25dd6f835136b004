#pragma once
// From forecasts of past seasons and what came of them to rows and scores.
#include <map>
#include <optional>
#include <vector>

#include "planner/hindcast/hindcast.h"
#include "planner/hindcast/observed_seasons.h"
#include "planner/hindcast/season_members.h"
#include "planner/season/season.h"

namespace rickyard {

/// What came in one region and season. Tonnes at 14.5 % moisture; level_ha as ObservedSeason.
struct CameSeason {
  double level_ha = 0, delivered_t = 0;
  std::optional<double> qualifying_t;
};
using CameSeasons = std::vector<std::map<int, CameSeason>>;  // [region], by crop year

/// One season as it was forecast.
struct ForecastSeason {
  int year = 0;
  std::vector<int> weather_years;                              // of the members, `draws` a year
  std::vector<Date> as_of;                                     // [date]
  std::vector<SeasonMembers> on;                               // [date]
  std::vector<double> planted_ha, level_ha;                    // [region]
  std::vector<std::optional<double>> limit_n_pct, came_n_pct;  // [region]
};

/// Fills rows and scores of `out`, whose kind, dates, years and regions are set, and its main quantity.
void add_rows(const std::vector<ForecastSeason>& seasons, const CameSeasons& came, const Bootstrap& bootstrap, int threads, Hindcast& out);

/// Fills the growers' rows and scores; draws: of each weather year.
void add_growers(const Season& season, const std::vector<ForecastSeason>& seasons, const ObservedSeasons& observed, int draws,
                 const Bootstrap& bootstrap, Hindcast& out);

}  // namespace rickyard
