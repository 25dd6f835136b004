#include "planner/crop/crop_work.h"

#include <stdexcept>

#include "planner/crop/default_run.h"

namespace rickyard {
namespace {

void refuse_other_grid(const Land& land, const WeatherArchive& archive) {
  const auto size = archive.size();
  const bool fits = static_cast<std::size_t>(archive.cells) == land.cells.size() && archive.rain_cmm.size() == size &&
                    archive.tmin_cc.size() == size && archive.tmax_cc.size() == size;
  if (!fits) throw std::logic_error("weather archive and land hold different cells or days");
}

}  // namespace

CropWork shared_work(const Land& land, const WeatherArchive& archive, const std::vector<MonthDay>& planned, const Season& season,
                     const SeasonPatch& patch, const KnownWeather* known) {
  refuse_other_grid(land, archive);
  CropWork shared{land,
                  season,
                  {},
                  default_run(season),
                  CropSettings::from(season.parameters),
                  CellDayReader(archive, land.cells, WeatherSettings::from(season.parameters), patch),
                  CellDayReader(archive, land.cells, WeatherSettings::from(season.parameters), {}),
                  season_windows(season, archive, planned),
                  {},
                  0,
                  {}};
  shared.seasons = shared.windows.size();
  if (known) {
    std::erase_if(shared.windows, [&](const SeasonWindow& window) { return window.harvest_year == known->harvest_year; });
    shared.splice = make_splice(season, archive, shared.windows, *known);
  }
  return shared;
}

}  // namespace rickyard
