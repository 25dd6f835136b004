#include "planner/crop/spring_work.h"

#include <algorithm>
#include <atomic>
#include <limits>

#include "planner/base/blocks.h"
#include "planner/crop/default_run.h"
#include "planner/crop/field_block.h"

namespace rickyard {
namespace {

constexpr int kNever = std::numeric_limits<int>::max() / 2;

// Bare soil of one block, watched every spring. place: [window] in out.harvest_years, -1 where only the soil is of use.
void watch_block(const CropWork& work, const std::vector<int>& place, std::size_t block, SpringWork& out) {
  const FieldPlan never{kNever, 0, 1, 1, -1};
  FieldBlock fields(work, block);
  fields.each_season([&](std::size_t y) {
    if (place[y] < 0) return;
    const auto& window = work.windows[y];
    for (std::size_t lane = 0; lane < fields.lanes(); ++lane) {
      const std::size_t row = static_cast<std::size_t>(place[y]) * out.units.size() + fields.place(lane);
      std::uint8_t* marks = out.workable_day.data() + row * static_cast<std::size_t>(out.days);
      fields.grown(window, never, lane, std::min(out.days, window.days) - 1,
                   [&](const FieldSeason& field, int day) { marks[day] = field.workable() ? 1 : 0; });
    }
  });
}

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
  CropWork work = shared_work(land, archive, {default_run(season).planned}, season, {}, known);
  work.units = units;
  std::vector<int> place;
  SpringWork out;
  out.units = units;
  out.days = days;
  for (const auto& window : work.windows) {
    const bool kept = window.harvest_year != season.crop_year;
    place.push_back(kept ? static_cast<int>(out.harvest_years.size()) : -1);
    if (kept) out.harvest_years.push_back(window.harvest_year);
  }
  out.workable_day.resize(out.harvest_years.size() * out.units.size() * static_cast<std::size_t>(days));
  const int blocks = static_cast<int>((out.units.size() + kLanes - 1) / kLanes);
  std::atomic<int> done{0};
  for_each_block(blocks, growing.threads, [&](int block) {
    watch_block(work, place, static_cast<std::size_t>(block), out);
    if (growing.progress) growing.progress->step(++done, blocks);
  });
  return out;
}

}  // namespace rickyard
