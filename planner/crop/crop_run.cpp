#include "planner/crop/crop_run.h"

#include <algorithm>
#include <atomic>
#include <stdexcept>

#include "planner/base/blocks.h"
#include "planner/crop/crop_work.h"
#include "planner/crop/default_run.h"
#include "planner/crop/lane_block.h"
#include "planner/crop/lane_kernel.h"

namespace rickyard {
namespace {

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

std::vector<std::vector<int>> positions(const Land& land, const std::vector<CropRun>& runs) {
  std::vector<std::vector<int>> out;
  for (const auto& run : runs) {
    std::vector<int> position(land.units.size(), -1);
    for (std::size_t k = 0; k < run.units.size(); ++k) position[static_cast<std::size_t>(run.units[k])] = static_cast<int>(k);
    out.push_back(std::move(position));
  }
  return out;
}

}  // namespace

CropRecords run_crop(const Land& land, const WeatherArchive& archive, const std::vector<CropRun>& runs, const Season& season,
                     const SeasonPatch& patch, const Growing& growing, const KnownWeather* known) {
  refuse_other_grid(land, archive);
  std::vector<MonthDay> planned;
  planned.reserve(runs.size());
  for (const auto& run : runs) planned.push_back(run.planned);
  CropWork work{land,
                season,
                runs,
                default_run(season),
                CropSettings::from(season.parameters),
                CellDayReader(archive, land.cells, WeatherSettings::from(season.parameters), patch),
                CellDayReader(archive, land.cells, WeatherSettings::from(season.parameters), {}),
                season_windows(season, archive, planned),
                {},
                union_of_units(runs),
                positions(land, runs)};
  if (known) {
    std::erase_if(work.windows, [&](const SeasonWindow& window) { return window.harvest_year == known->harvest_year; });
    work.splice = make_splice(season, archive, work.windows, *known);
  }
  const bool exact = growing.kernel == CropKernel::exact;
  CropRecords out;
  out.runs = runs;
  for (const auto& window : work.windows) out.harvest_years.push_back(window.harvest_year);
  for (const auto& run : runs) {
    out.records.emplace_back(work.windows.size() * run.units.size());
    if (exact) out.balances.emplace_back(out.records.back().size());
  }
  const int blocks = static_cast<int>((work.units.size() + kLanes - 1) / kLanes);
  const CanopyTable table = exact ? CanopyTable{} : CanopyTable::of(work.settings);
  std::atomic<int> done{0};
  for_each_block(blocks, growing.threads, [&](int block) {
    const auto b = static_cast<std::size_t>(block);
    if (exact)
      grow_block_exactly(work, b, out);
    else
      grow_block(work, table, b, out);
    if (growing.progress) growing.progress->step(++done, blocks);
  });
  return out;
}

CropRecords run_crop(const Land& land, const WeatherArchive& archive, const std::vector<CropRun>& runs, const Season& season,
                     const SeasonPatch& patch, int threads, Progress* progress, const KnownWeather* known) {
  return run_crop(land, archive, runs, season, patch, Growing{threads, progress, CropKernel::exact}, known);
}

}  // namespace rickyard
