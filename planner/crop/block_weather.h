#pragma once
// Weather of one season for the land units of a block, in the order the daily loop reads it.
#include <vector>

#include "planner/crop/field_season.h"
#include "planner/crop/splice.h"
#include "planner/weather/cell_days.h"

namespace rickyard {

/// Holds references: land and reader must outlive it.
class BlockWeather {
 public:
  BlockWeather(const Land& land, const std::vector<int>& units, const CellDayReader& reader);

  /// Reads the known days of the season in hand, once, for `read` with spliced days.
  void know(const Splice& splice, const CellDayReader& observed);
  /// The season days begin .. days - 1 of a window; with `spliced` the known days stand in for the window's own.
  void read(const SeasonWindow& window, const std::vector<SplicedDay>* spliced = nullptr);

  /// day: counted from the window's begin; lane: position in `units`.
  const FieldWeather& at(std::size_t day, std::size_t lane) const { return days_[day * cell_of_lane_.size() + lane]; }

 private:
  const CellDayReader& reader_;
  std::vector<int> cells_;
  std::vector<SunTable> suns_;
  std::vector<std::size_t> cell_of_lane_;
  std::vector<CellDays> series_, known_;  // [cell of the block]
  int known_begin_ = 0;                   // season day of the first entry of known_
  std::vector<FieldWeather> days_;        // [day][lane], lane fastest
};

}  // namespace rickyard
