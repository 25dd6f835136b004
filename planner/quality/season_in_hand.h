#pragma once
// What is known of the season in hand on the date of the plan: its weather so far, its sowing dates.
#include <optional>

#include "planner/crop/crop_record.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"
#include "planner/weather/known_weather.h"

namespace rickyard {

/// The weather of the season of crop_year up to as_of, as far as the archive holds it; empty where it holds none of it.
std::optional<KnownWeather> known_weather(const Season& season, const WeatherArchive& archive);

/// The date a row was sown, where it is given and not later than as_of.
std::optional<MonthDay> known_sowing(const Season& season, const ContractRow& row);
bool any_sowing_known(const Season& season);

/// Takes a harvest year out of the records: the season of the plan is never its own past.
void leave_out_year(CropRecords& records, int harvest_year);

}  // namespace rickyard
