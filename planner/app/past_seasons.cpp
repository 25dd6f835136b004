#include "planner/app/past_seasons.h"

#include <fmt/format.h>

#include <algorithm>

namespace rickyard {

PastSeasons past_seasons(Session& session, const HindcastRequest& request, Progress& progress, const std::stop_token& stop) {
  const Season& season = session.season();
  PastSeasons out;
  std::shared_ptr<const GeoReading> geography;
  std::vector<WeatherArchive> drawn;
  std::span<const WeatherArchive> archives;
  if (season.model == ForecastModel::daily) {
    progress.stage("reading regions and rasters");
    geography = session.geography(progress);
    for (const auto& problem : geography->problems) out.warnings.push_back(to_text(problem));
    drawn = drawn_archives(season, *geography);
    archives = geography->daily ? std::span<const WeatherArchive>{&*geography->daily, 1} : std::span<const WeatherArchive>(drawn);
    if (archives.front().rain_disaggregated)
      out.warnings.push_back(fmt::format(
          "daily rain was drawn {} times from monthly totals by a wet-day chain: plausible days, not observed ones", archives.size()));
  }
  Growing growing = session.growing();
  growing.progress = &progress;
  auto hindcast = make_hindcast(season, geography ? &geography->land : nullptr, archives, request, growing, stop);
  if (!hindcast) throw Interrupted();
  out.hindcast = std::move(*hindcast);
  return out;
}

HindcastDate date_of_plan(const Season& season) {
  const Date first = in_year(season.season_start, season.crop_year - 1), last = in_year(season.season_end, season.crop_year);
  const Date day = std::clamp(season.as_of, first, last);
  const MonthDay at{day.month().as_number(), day.day().as_number()};
  return {to_text(at), at};
}

}  // namespace rickyard
