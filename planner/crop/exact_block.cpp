// The scalar kernel: one field after the other, day by day, as METHODS.md says it.
#include "planner/crop/block_weather.h"
#include "planner/crop/crop_work.h"

namespace rickyard {
namespace {

class ExactBlock {
 public:
  ExactBlock(const CropWork& work, std::size_t block, CropRecords& out)
      : work_(work), units_(work.block(block)), weather_(work.land, units_, work.reader), out_(out) {
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
      const int place = work_.position[run][static_cast<std::size_t>(units_[lane])];
      if (place < 0) continue;
      const auto at = out_.place(static_cast<int>(run), static_cast<int>(year), place);
      const FieldSeason field = grown(window, work_.runs[run], lane, window.days - 1);
      out_.records[run][at] = field.finish(work_.settings);
      out_.balances[run][at] = field.balance();
    }
  }

  const CropWork& work_;
  std::vector<int> units_;
  std::vector<SoilColumn> soils_;
  std::vector<SoilWater> start_;
  BlockWeather weather_;
  CropRecords& out_;
};

}  // namespace

void grow_block_exactly(const CropWork& work, std::size_t block, CropRecords& out) { ExactBlock(work, block, out).run(); }

}  // namespace rickyard
