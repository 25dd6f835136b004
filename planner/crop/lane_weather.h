#pragma once
// Weather of a block of land units and one season, as the fast kernel reads it.
#include <array>
#include <optional>

#include "planner/crop/block_weather.h"
#include "planner/crop/lane_kernel.h"

namespace rickyard {

/// Reads seasons of one block. Holds references: land and readers must outlive it.
class LaneReader {
 public:
  /// observed: the same archive without a patch, for the known days of a season in hand.
  LaneReader(const Land& land, const std::vector<int>& units, const CellDayReader& reader, const CellDayReader& observed);

  /// Call once before seasons with spliced days.
  void know(const Splice& splice);
  /// A season, with the sums that depend on weather alone.
  void read(const SeasonWindow& window, const std::vector<SplicedDay>* spliced, const CropSettings& settings, LaneWeather& out);

 private:
  void read_plain(const SeasonWindow& window, const std::vector<SplicedDay>* spliced, LaneWeather& out);
  void read_given(const SeasonWindow& window, const std::vector<SplicedDay>* spliced, LaneWeather& out);
  void name_gap(int archive_day) const;

  const Land& land_;
  const CellDayReader &reader_, &observed_;
  std::vector<int> units_;
  std::array<int, Lanes::kCount> cells_{};
  LaneDays ra_mj_, daylight_h_;  // [day of the year]
  Lanes clear_share_;            // clear-sky radiation over ra
  std::vector<PlainDay> plain_;  // [season day]
  int known_first_ = 0;          // archive day of season day 0 of the season in hand
  std::optional<BlockWeather> given_;
};

}  // namespace rickyard
