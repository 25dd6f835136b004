#pragma once
// The fields of one block walked through the seasons by the scalar code, each season beginning with the water that the land's own crop
// left.
#include <vector>

#include "planner/crop/block_weather.h"
#include "planner/crop/crop_work.h"

namespace rickyard {

/// Holds a reference: the work must outlive it.
class FieldBlock {
 public:
  FieldBlock(const CropWork& work, std::size_t block)
      : work_(work), first_(block * kLanes), units_(work.block(block)), weather_(work.land, units_, work.reader) {
    for (int unit : units_) {
      soils_.push_back(work.column(unit));
      start_.push_back(at_field_capacity(soils_.back()));
    }
  }

  std::size_t lanes() const { return units_.size(); }
  /// Place of a lane among the units of the work.
  std::size_t place(std::size_t lane) const { return first_ + lane; }

  /// Calls visit(position of the window) for every season of the work in turn; `grown` is then of that season.
  template <typename Visit>
  void each_season(Visit&& visit) {
    if (work_.splice) {
      // The soil water that the season in hand begins with.
      for (std::size_t w = 0; work_.run_on() && w < work_.splice->before.size(); ++w) {
        weather_.read(work_.splice->before[w]);
        for (int pass = w == 0 ? 0 : 1; pass < 2; ++pass) own_crop(work_.splice->before[w]);
      }
      weather_.know(*work_.splice, work_.reader_known);
    }
    const bool carry = work_.run_on() && !work_.splice;
    for (std::size_t y = 0; y < work_.windows.size(); ++y) {
      weather_.read(work_.windows[y], work_.splice ? &work_.splice->days[y] : nullptr);
      if (y == 0 && carry) own_crop(work_.windows[y]);
      visit(y);
      if (carry) own_crop(work_.windows[y]);
    }
  }

  /// One field from the season's beginning to the end of day `last`; after_day(field, day) sees every evening.
  template <typename AfterDay>
  FieldSeason grown(const SeasonWindow& window, const FieldPlan& plan, std::size_t lane, int last, AfterDay&& after_day) const {
    FieldSeason field(soils_[lane], start_[lane], window, plan);
    for (int day = window.begin; day <= last; ++day) {
      field.day(work_.settings, day, weather_.at(static_cast<std::size_t>(day - window.begin), lane));
      after_day(field, day);
    }
    return field;
  }
  FieldSeason grown(const SeasonWindow& window, const FieldPlan& plan, std::size_t lane, int last) const {
    return grown(window, plan, lane, last, [](const FieldSeason&, int) {});
  }

 private:
  // The land's own crop up to the next season; start_ becomes the water it leaves.
  void own_crop(const SeasonWindow& window) {
    const FieldPlan plan = work_.plan(work_.own, window.harvest_year);
    for (std::size_t lane = 0; lane < units_.size(); ++lane) start_[lane] = grown(window, plan, lane, window.carry).water();
  }

  const CropWork& work_;
  std::size_t first_;
  std::vector<int> units_;
  std::vector<SoilColumn> soils_;
  std::vector<SoilWater> start_;
  BlockWeather weather_;
};

}  // namespace rickyard
