#include "planner/quality/season_in_hand.h"

#include <algorithm>

#include "planner/crop/season_windows.h"

namespace rickyard {

std::optional<KnownWeather> known_weather(const Season& season, const WeatherArchive& archive) {
  if (season.as_of.is_special()) return std::nullopt;
  const auto window = season_window(season, season.crop_year, archive);
  const int archive_first = day_number(archive.first_day);
  const int last = std::min({day_number(season.as_of) - archive_first, archive.days - 1, window.first + window.days - 1});
  if (last < std::max(window.first, 0)) return std::nullopt;
  return KnownWeather{season.crop_year, date_of(archive_first + last)};
}

std::optional<MonthDay> known_sowing(const Season& season, const ContractRow& row) {
  if (!row.sown || *row.sown > season.as_of) return std::nullopt;
  return MonthDay{row.sown->month().as_number(), row.sown->day().as_number()};
}

bool any_sowing_known(const Season& season) {
  return std::any_of(season.contracts.begin(), season.contracts.end(),
                     [&](const ContractRow& row) { return known_sowing(season, row).has_value(); });
}

void leave_out_year(CropRecords& records, int harvest_year) {
  const auto found = std::find(records.harvest_years.begin(), records.harvest_years.end(), harvest_year);
  if (found == records.harvest_years.end()) return;
  const auto left_out = static_cast<std::size_t>(found - records.harvest_years.begin());
  std::vector<std::size_t> kept;
  for (std::size_t y = 0; y < records.harvest_years.size(); ++y)
    if (y != left_out) kept.push_back(y);
  records = records.with_years(kept);
}

}  // namespace rickyard
