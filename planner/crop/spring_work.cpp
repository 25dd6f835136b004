#include "planner/crop/spring_work.h"

#include <algorithm>
#include <atomic>
#include <limits>
#include <optional>

#include "planner/base/blocks.h"
#include "planner/crop/block_weather.h"
#include "planner/crop/default_run.h"
#include "planner/weather/cell_days.h"

namespace rickyard {
namespace {

constexpr std::size_t kLanes = 16;  // land units in a block
constexpr int kNever = std::numeric_limits<int>::max() / 2;

// What all blocks share.
struct Work {
  const Land& land;
  const Season& season;
  CropRun own;
  CropSettings settings;
  CellDayReader reader;
  std::vector<SeasonWindow> windows;
  std::vector<int> place;  // [window] in harvest_years, -1 where only the soil is of use
  std::optional<Splice> splice;
};

// The units of one block, season after season: the crop that leaves its stubble, and the bare soil that is watched.
class Block {
 public:
  Block(const Work& work, std::size_t block, SpringWork& out)
      : work_(work), out_(out), first_(block * kLanes), last_(std::min(first_ + kLanes, out.units.size())) {
    const auto from = out.units.begin();
    units_.assign(from + static_cast<std::ptrdiff_t>(first_), from + static_cast<std::ptrdiff_t>(last_));
    for (int unit : units_) {
      const auto& soil = work.land.soils[static_cast<std::size_t>(work.land.units[static_cast<std::size_t>(unit)].soil)];
      soils_.push_back(make_column(soil, work.settings.water, work.settings.sowing));
      start_.push_back(at_field_capacity(soils_.back()));
    }
  }

  void run() {
    BlockWeather weather(work_.land, units_, work_.reader);
    const bool run_on = work_.season.start == SeasonStart::previous_year;
    if (work_.splice) {
      // The soil water that the season in hand begins with.
      for (std::size_t w = 0; run_on && w < work_.splice->before.size(); ++w) {
        weather.read(work_.splice->before[w]);
        for (int pass = w == 0 ? 0 : 1; pass < 2; ++pass) crop_season(work_.splice->before[w], weather);
      }
      weather.know(*work_.splice, work_.reader);
    }
    for (std::size_t y = 0; y < work_.windows.size(); ++y) {
      const auto& window = work_.windows[y];
      weather.read(window, work_.splice ? &work_.splice->days[y] : nullptr);
      const bool carry = run_on && !work_.splice;
      if (y == 0 && carry) crop_season(window, weather);
      if (work_.place[y] >= 0) bare_spring(window, static_cast<std::size_t>(work_.place[y]), weather);
      if (carry) crop_season(window, weather);
    }
  }

 private:
  // The fields under the land's own crop; start_ becomes the water it leaves.
  void crop_season(const SeasonWindow& window, const BlockWeather& weather) {
    const FieldPlan plan{season_day(work_.season, window.harvest_year, work_.own.planned), work_.own.wait_days, 1, 1, -1};
    for (std::size_t i = 0; i < units_.size(); ++i) {
      FieldSeason field(soils_[i], start_[i], window, plan);
      for (int day = window.begin; day <= window.carry; ++day)
        field.day(work_.settings, day, weather.at(static_cast<std::size_t>(day - window.begin), i));
      start_[i] = field.water();
    }
  }

  void bare_spring(const SeasonWindow& window, std::size_t year, const BlockWeather& weather) {
    const FieldPlan never{kNever, 0, 1, 1, -1};
    for (std::size_t i = 0; i < units_.size(); ++i) {
      FieldSeason field(soils_[i], start_[i], window, never);
      std::uint8_t* marks = out_.workable_day.data() + (year * out_.units.size() + first_ + i) * static_cast<std::size_t>(out_.days);
      for (int day = window.begin; day < std::min(out_.days, window.days); ++day) {
        field.day(work_.settings, day, weather.at(static_cast<std::size_t>(day - window.begin), i));
        marks[day] = field.workable() ? 1 : 0;
      }
    }
  }

  const Work& work_;
  SpringWork& out_;
  std::size_t first_, last_;
  std::vector<int> units_;
  std::vector<SoilColumn> soils_;
  std::vector<SoilWater> start_;
};

}  // namespace

int SpringWork::first_workable(int year, int k, int from) const {
  for (int day = std::max(from, 1); day < days; ++day)
    if (workable(year, k, day) && workable(year, k, day - 1)) return day;
  return -1;
}

int SpringWork::count(int year, int k, int from, int to) const {
  int found = 0;
  for (int day = std::max(from, 0); day <= std::min(to, days - 1); ++day) found += workable(year, k, day) ? 1 : 0;
  return found;
}

SpringWork spring_work(const Land& land, const WeatherArchive& archive, const std::vector<int>& units, int days, const Season& season,
                       const Growing& growing, const KnownWeather* known) {
  Work work{land,
            season,
            default_run(season),
            CropSettings::from(season.parameters),
            CellDayReader(archive, land.cells, WeatherSettings::from(season.parameters), {}),
            season_windows(season, archive, {default_run(season).planned}),
            {},
            {}};
  if (known) {
    std::erase_if(work.windows, [&](const SeasonWindow& window) { return window.harvest_year == known->harvest_year; });
    work.splice = make_splice(season, archive, work.windows, *known);
  }
  SpringWork out;
  out.units = units;
  out.days = days;
  for (const auto& window : work.windows) {
    const bool kept = window.harvest_year != season.crop_year;
    work.place.push_back(kept ? static_cast<int>(out.harvest_years.size()) : -1);
    if (kept) out.harvest_years.push_back(window.harvest_year);
  }
  out.workable_day.resize(out.harvest_years.size() * out.units.size() * static_cast<std::size_t>(days));
  const int blocks = static_cast<int>((out.units.size() + kLanes - 1) / kLanes);
  std::atomic<int> done{0};
  for_each_block(blocks, growing.threads, [&](int block) {
    Block(work, static_cast<std::size_t>(block), out).run();
    if (growing.progress) growing.progress->step(++done, blocks);
  });
  return out;
}

}  // namespace rickyard
