#include "planner/crop/block_weather.h"

#include <algorithm>

namespace rickyard {
namespace {

FieldWeather day_of(const CellDays& from, std::size_t d) {
  return {from.rain_mm[d],    0,
          from.tmin_c[d],     from.tmax_c[d],
          from.et0_mm[d],     from.radiation_mj[d],
          from.daylight_h[d], from.vapour_kpa.empty() ? -1 : from.vapour_kpa[d],
          from.warmth[d]};
}

}  // namespace

BlockWeather::BlockWeather(const Land& land, const std::vector<int>& units, const CellDayReader& reader) : reader_(reader) {
  for (int unit : units) {
    const int cell = land.units[static_cast<std::size_t>(unit)].cell;
    auto found = std::find(cells_.begin(), cells_.end(), cell);
    if (found == cells_.end()) {
      found = cells_.insert(cells_.end(), cell);
      suns_.push_back(sun_table(land.cells[static_cast<std::size_t>(cell)].lat_deg));
    }
    cell_of_lane_.push_back(static_cast<std::size_t>(found - cells_.begin()));
  }
  series_.resize(cells_.size());
}

void BlockWeather::know(const Splice& splice, const CellDayReader& observed) {
  known_.resize(cells_.size());
  known_begin_ = splice.season.begin;
  for (std::size_t c = 0; c < cells_.size(); ++c)
    observed.read(cells_[c], suns_[c], splice.season.first + splice.season.begin, splice.last - splice.season.begin + 1, known_[c]);
}

void BlockWeather::read(const SeasonWindow& window, const std::vector<SplicedDay>* spliced) {
  const int days = window.days - window.begin;
  for (std::size_t c = 0; c < cells_.size(); ++c) reader_.read(cells_[c], suns_[c], window.first + window.begin, days, series_[c]);
  const std::size_t lanes = cell_of_lane_.size();
  days_.resize(static_cast<std::size_t>(days) * lanes);
  for (std::size_t d = 0; d < static_cast<std::size_t>(days); ++d) {
    const SplicedDay pair = spliced ? (*spliced)[d + static_cast<std::size_t>(window.begin)] : SplicedDay{};
    for (std::size_t lane = 0; lane < lanes; ++lane) {
      auto& day = days_[d * lanes + lane];
      day = pair.known < 0 ? day_of(series_[cell_of_lane_[lane]], d)
                           : day_of(known_[cell_of_lane_[lane]], static_cast<std::size_t>(pair.known - known_begin_));
      if (pair.no_rain) day.rain_mm = 0;
      day.rain_before_mm = d > 0 ? days_[(d - 1) * lanes + lane].rain_mm : 0;
    }
  }
}

}  // namespace rickyard
