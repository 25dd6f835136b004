#pragma once
// Every past season in turn, forecast from the other ones and what was known on a date, and scored.
#include <optional>
#include <span>
#include <stop_token>
#include <vector>

#include "planner/hindcast/hindcast.h"
#include "planner/hindcast/past_season.h"
#include "planner/season/land.h"
#include "planner/weather/archive.h"

namespace rickyard {

/// The earliest planned sowing date of the contract rows ("sowing"), then the first days of the season's ninth and tenth month and the
/// fifteenth of its eleventh: 1 May, 1 June and 15 July from 1 September.
std::vector<HindcastDate> usual_dates(const Season& season);

struct HindcastRequest {
  std::vector<HindcastDate> dates;  // at least one; the headline speaks of the first
  std::vector<int> years;           // only these; empty: all
};

/// given: the season with defaults filled. land, archives: null and empty with model = formulas. Grows the past once with `growing`, the
/// seasons in hand side by side on its threads. InputError where a year is not in the archive, or nothing can be scored. Asked to stop it
/// returns nothing. The same bits on any number of threads.
std::optional<Hindcast> make_hindcast(const Season& given, const Land* land, std::span<const WeatherArchive> archives,
                                      const HindcastRequest& request, const Growing& growing, const std::stop_token& stop = {});

}  // namespace rickyard
