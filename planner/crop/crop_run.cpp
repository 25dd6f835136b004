#include "planner/crop/crop_run.h"

#include <algorithm>
#include <atomic>
#include <optional>
#include <stdexcept>

#include "planner/base/blocks.h"
#include "planner/crop/block_weather.h"
#include "planner/weather/cell_days.h"

namespace rickyard {
namespace {

constexpr std::size_t kLanes = 16;  // land units in a block

// What all blocks share.
struct Work {
  const Land& land;
  const Season& season;
  const std::vector<CropRun>& runs;
  CropSettings settings;
  CellDayReader reader, reader_known;  // under the patch; as observed
  std::vector<SeasonWindow> windows;
  std::optional<Splice> splice;
  std::vector<int> units;                  // union of the runs' units, ascending
  std::vector<std::vector<int>> position;  // [run][land unit], place in the run's units or -1
};

// One run on the lanes of a block that belong to it.
class BlockRun {
 public:
  BlockRun(const Work& work, std::size_t run, const std::vector<int>& units) : work_(work), run_(run) {
    for (std::size_t lane = 0; lane < units.size(); ++lane) {
      if (work.position[run][static_cast<std::size_t>(units[lane])] < 0) continue;
      const auto& soil = work.land.soils[static_cast<std::size_t>(work.land.units[static_cast<std::size_t>(units[lane])].soil)];
      lanes_.push_back(lane);
      places_.push_back(static_cast<std::size_t>(work.position[run][static_cast<std::size_t>(units[lane])]));
      soils_.push_back(make_column(soil, work.settings.water, work.settings.sowing));
      start_.push_back(at_field_capacity(soils_.back()));
    }
    seasons_.resize(lanes_.size());
    carried_ = start_;
  }

  // One season, days outside and lanes inside. With Keep::no only the state carried on is of use (the first year's first pass).
  enum class Keep { no, yes };
  void season(const SeasonWindow& window, std::size_t year, const BlockWeather& weather, Keep keep, std::vector<CropRecord>& records) {
    const auto& run = work_.runs[run_];
    const FieldPlan plan{season_day(work_.season, window.harvest_year, run.planned), run.wait_days, run.thermal_factor, run.drilled_after,
                         run.sown_on ? season_day(work_.season, window.harvest_year, *run.sown_on) : -1};
    for (std::size_t i = 0; i < lanes_.size(); ++i) seasons_[i] = FieldSeason(soils_[i], start_[i], window, plan);
    const int last = keep == Keep::yes ? window.days - 1 : window.carry;
    for (int day = window.begin; day <= last; ++day) {
      for (std::size_t i = 0; i < lanes_.size(); ++i)
        seasons_[i].day(work_.settings, day, weather.at(static_cast<std::size_t>(day - window.begin), lanes_[i]));
      if (day == window.carry)
        for (std::size_t i = 0; i < lanes_.size(); ++i) carried_[i] = seasons_[i].water();
    }
    if (work_.season.start == SeasonStart::previous_year && (keep == Keep::no || !work_.splice)) start_ = carried_;
    if (keep == Keep::no) return;
    for (std::size_t i = 0; i < lanes_.size(); ++i) records[year * run.units.size() + places_[i]] = seasons_[i].finish(work_.settings);
  }

  bool empty() const { return lanes_.empty(); }

 private:
  const Work& work_;
  std::size_t run_;
  std::vector<std::size_t> lanes_, places_;
  std::vector<SoilColumn> soils_;
  std::vector<SoilWater> start_, carried_;
  std::vector<FieldSeason> seasons_;
};

void run_block(const Work& work, std::size_t block, CropRecords& out) {
  const auto from = work.units.begin() + static_cast<long>(block * kLanes);
  const std::vector<int> units(from, work.units.begin() + static_cast<long>(std::min((block + 1) * kLanes, work.units.size())));
  std::vector<BlockRun> runs;
  std::vector<std::size_t> run_index;
  for (std::size_t r = 0; r < work.runs.size(); ++r) {
    BlockRun run(work, r, units);
    if (run.empty()) continue;
    runs.push_back(std::move(run));
    run_index.push_back(r);
  }
  BlockWeather weather(work.land, units, work.reader);
  const bool run_on = work.season.start == SeasonStart::previous_year;
  if (work.splice) {
    // The soil water that the season in hand begins with.
    for (std::size_t w = 0; run_on && w < work.splice->before.size(); ++w) {
      weather.read(work.splice->before[w]);
      for (auto& run : runs)
        for (int pass = w == 0 ? 0 : 1; pass < 2; ++pass)
          run.season(work.splice->before[w], w, weather, BlockRun::Keep::no, out.records[0]);
    }
    weather.know(*work.splice, work.reader_known);
  }
  for (std::size_t y = 0; y < work.windows.size(); ++y) {
    weather.read(work.windows[y], work.splice ? &work.splice->days[y] : nullptr);
    for (std::size_t i = 0; i < runs.size(); ++i) {
      auto& records = out.records[run_index[i]];
      if (y == 0 && run_on && !work.splice) runs[i].season(work.windows[y], y, weather, BlockRun::Keep::no, records);
      runs[i].season(work.windows[y], y, weather, BlockRun::Keep::yes, records);
    }
  }
}

std::vector<int> union_of_units(const std::vector<CropRun>& runs) {
  std::vector<int> all;
  for (const auto& run : runs) all.insert(all.end(), run.units.begin(), run.units.end());
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

void refuse_other_grid(const Land& land, const WeatherArchive& archive) {
  const auto size = archive.size();
  const bool fits = static_cast<std::size_t>(archive.cells) == land.cells.size() && archive.rain_cmm.size() == size &&
                    archive.tmin_cc.size() == size && archive.tmax_cc.size() == size;
  if (!fits) throw std::logic_error("weather archive and land hold different cells or days");
}

}  // namespace

CropRecords run_crop(const Land& land, const WeatherArchive& archive, const std::vector<CropRun>& runs, const Season& season,
                     const SeasonPatch& patch, int threads, Progress* progress, const KnownWeather* known) {
  refuse_other_grid(land, archive);
  std::vector<MonthDay> planned;
  planned.reserve(runs.size());
  for (const auto& run : runs) planned.push_back(run.planned);
  Work work{land,
            season,
            runs,
            CropSettings::from(season.parameters),
            CellDayReader(archive, land.cells, WeatherSettings::from(season.parameters), patch),
            CellDayReader(archive, land.cells, WeatherSettings::from(season.parameters), {}),
            season_windows(season, archive, planned),
            {},
            union_of_units(runs),
            {}};
  if (known) {
    std::erase_if(work.windows, [&](const SeasonWindow& window) { return window.harvest_year == known->harvest_year; });
    work.splice = make_splice(season, archive, work.windows, *known);
  }
  CropRecords out;
  out.runs = runs;
  for (const auto& window : work.windows) out.harvest_years.push_back(window.harvest_year);
  for (const auto& run : runs) {
    std::vector<int> position(land.units.size(), -1);
    for (std::size_t k = 0; k < run.units.size(); ++k) position[static_cast<std::size_t>(run.units[k])] = static_cast<int>(k);
    work.position.push_back(std::move(position));
    out.records.emplace_back(work.windows.size() * run.units.size());
  }
  const int blocks = static_cast<int>((work.units.size() + kLanes - 1) / kLanes);
  std::atomic<int> done{0};
  for_each_block(blocks, threads, [&](int block) {
    run_block(work, static_cast<std::size_t>(block), out);
    if (progress) progress->step(++done, blocks);
  });
  return out;
}

}  // namespace rickyard
