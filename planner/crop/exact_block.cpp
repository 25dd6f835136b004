// The scalar kernel: one field after the other, day by day, as METHODS.md says it.
#include "planner/crop/block_weather.h"
#include "planner/crop/crop_work.h"

namespace rickyard {
namespace {

class ExactBlock {
 public:
  ExactBlock(const CropWork& work, std::size_t block, const std::vector<CropSink>& sinks)
      : work_(work), first_(block * kLanes), units_(work.block(block)), weather_(work.land, units_, work.reader), sinks_(sinks) {
    for (int unit : units_) {
      soils_.push_back(work.column(unit));
      start_.push_back(at_field_capacity(soils_.back()));
    }
  }

  void run() {
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
      for (std::size_t r = 0; r < work_.runs.size(); ++r) season(r, y);
      if (carry) own_crop(work_.windows[y]);
    }
  }

 private:
  FieldSeason grown(const SeasonWindow& window, const CropRun& run, std::size_t lane, int last) const {
    FieldSeason field(soils_[lane], start_[lane], window, work_.plan(run, window.harvest_year));
    for (int day = window.begin; day <= last; ++day)
      field.day(work_.settings, day, weather_.at(static_cast<std::size_t>(day - window.begin), lane));
    return field;
  }

  // The land's own crop up to the next season; start_ becomes the water it leaves.
  void own_crop(const SeasonWindow& window) {
    for (std::size_t lane = 0; lane < units_.size(); ++lane) start_[lane] = grown(window, work_.own, lane, window.carry).water();
  }

  void season(std::size_t run, std::size_t year) {
    const auto& window = work_.windows[year];
    for (std::size_t lane = 0; lane < units_.size(); ++lane) {
      const auto at = CropRecords::place_of(work_.units.size(), work_.windows.size(), year, first_ + lane);
      const FieldSeason field = grown(window, work_.runs[run], lane, window.days - 1);
      sinks_[run].records[at] = field.finish(work_.settings);
      if (sinks_[run].balances) sinks_[run].balances[at] = field.balance();
    }
  }

  const CropWork& work_;
  std::size_t first_;
  std::vector<int> units_;
  std::vector<SoilColumn> soils_;
  std::vector<SoilWater> start_;
  BlockWeather weather_;
  const std::vector<CropSink>& sinks_;
};

}  // namespace

void grow_block_exactly(const CropWork& work, std::size_t block, const std::vector<CropSink>& sinks) {
  ExactBlock(work, block, sinks).run();
}

}  // namespace rickyard
