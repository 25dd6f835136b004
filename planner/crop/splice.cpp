#include "planner/crop/splice.h"

#include <algorithm>
#include <stdexcept>

namespace rickyard {
namespace {

// Season days of one past year, each with the known day of the same month and day.
std::vector<SplicedDay> paired_days(const SeasonWindow& past, const SeasonWindow& in_hand, int last, int archive_first) {
  const Date first = date_of(archive_first + in_hand.first);
  std::vector<SplicedDay> days(static_cast<std::size_t>(past.days));
  const int year_gap = in_hand.harvest_year - past.harvest_year;
  for (int d = past.begin; d < past.days; ++d) {
    const Date date = date_of(archive_first + past.first + d);
    const int month = date.month().as_number(), day = date.day().as_number();
    const int year = static_cast<int>(date.year()) + year_gap;
    const bool no_such_day =
        month == 2 && day == 29 && !boost::gregorian::gregorian_calendar::is_leap_year(static_cast<unsigned short>(year));
    const int known = day_number(in_year({month, no_such_day ? 28 : day}, year)) - day_number(first);
    if (known > last || known < in_hand.begin) continue;
    days[static_cast<std::size_t>(d)] = {known, no_such_day};
  }
  return days;
}

}  // namespace

Splice make_splice(const Season& season, const WeatherArchive& archive, const std::vector<SeasonWindow>& windows,
                   const KnownWeather& known) {
  Splice splice;
  const int archive_first = day_number(archive.first_day);
  splice.season = season_window(season, known.harvest_year, archive);
  splice.last = day_number(known.through) - archive_first - splice.season.first;
  if (splice.last < splice.season.begin || splice.last >= splice.season.days || splice.season.first + splice.last >= archive.days)
    throw std::logic_error("known weather must end on an archive day of the season in hand");
  for (const auto& window : windows) {
    if (window.harvest_year < known.harvest_year) splice.before.push_back(window);
    splice.days.push_back(paired_days(window, splice.season, splice.last, archive_first));
  }
  // The season before may lie in the archive up to the first day of the season in hand only.
  auto previous = season_window(season, known.harvest_year - 1, archive);
  previous.days = std::min(previous.days, archive.days - previous.first);
  const bool listed = !splice.before.empty() && splice.before.back().harvest_year == previous.harvest_year;
  if (!listed && previous.first >= 0) splice.before.push_back(previous);
  return splice;
}

}  // namespace rickyard
