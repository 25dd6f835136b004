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
  const auto year = found - records.harvest_years.begin();
  records.harvest_years.erase(found);
  for (std::size_t r = 0; r < records.runs.size(); ++r) {
    const auto stride = static_cast<std::ptrdiff_t>(records.runs[r].units.size());
    auto& all = records.records[r];
    all.erase(all.begin() + year * stride, all.begin() + (year + 1) * stride);
  }
}

}  // namespace rickyard
