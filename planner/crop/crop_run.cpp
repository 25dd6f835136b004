#include "planner/crop/crop_run.h"

#include <algorithm>
#include <atomic>
#include <memory>
#include <stdexcept>

#include "planner/base/blocks.h"
#include "planner/crop/crop_work.h"
#include "planner/crop/default_run.h"
#include "planner/crop/kept_runs.h"
#include "planner/crop/lane_block.h"
#include "planner/crop/lane_kernel.h"

namespace rickyard {
namespace {

void refuse_other_grid(const Land& land, const WeatherArchive& archive) {
  const auto size = archive.size();
  const bool fits = static_cast<std::size_t>(archive.cells) == land.cells.size() && archive.rain_cmm.size() == size &&
                    archive.tmin_cc.size() == size && archive.tmax_cc.size() == size;
  if (!fits) throw std::logic_error("weather archive and land hold different cells or days");
}

// Runs on the same units, which share weather and bare soil, and where their records go.
struct Team {
  CropWork work;
  std::vector<std::size_t> runs;  // of the request
  std::vector<RunDraft> drafts;
  std::vector<CropSink> sinks;
  std::vector<std::atomic<int>> blocks_left;  // [chunk]; 0: done before

  std::size_t blocks() const { return (work.units.size() + kLanes - 1) / kLanes; }
};

constexpr std::size_t kBlocksInChunk = CropRecords::kChunk / kLanes;

std::vector<std::atomic<int>> blocks_to_do(const Team& team) {
  const std::size_t chunks = (team.blocks() + kBlocksInChunk - 1) / kBlocksInChunk;
  std::vector<std::atomic<int>> left(chunks);
  for (std::size_t chunk = 0; chunk < chunks; ++chunk) {
    const bool done = std::all_of(team.drafts.begin(), team.drafts.end(), [&](const RunDraft& draft) { return draft.done(chunk); });
    left[chunk] = done ? 0 : static_cast<int>(std::min(kBlocksInChunk, team.blocks() - chunk * kBlocksInChunk));
  }
  return left;
}

// What is not kept yet, gathered by units.
std::vector<std::unique_ptr<Team>> teams_of(const CropWork& shared, const std::vector<CropRun>& runs,
                                            const std::vector<std::size_t>& missing, const std::string& text, Cache* cache,
                                            CropRecords& out) {
  std::vector<std::unique_ptr<Team>> teams;
  for (const std::size_t r : missing) {
    auto team = std::find_if(teams.begin(), teams.end(), [&](const auto& known) { return known->work.units == runs[r].units; });
    if (team == teams.end()) {
      team = teams.insert(teams.end(), std::make_unique<Team>(Team{shared, {}, {}, {}, {}}));
      (*team)->work.units = runs[r].units;
    }
    (*team)->runs.push_back(r);
    (*team)->work.runs.push_back(runs[r]);
    (*team)->drafts.emplace_back(cache, text.empty() ? CacheKey{} : key_of(text, runs[r]), runs[r].units.size(), shared.windows.size());
    (*team)->sinks.push_back({(*team)->drafts.back().records(), out.balances.empty() ? nullptr : out.balances[r].data()});
  }
  for (auto& team : teams) team->blocks_left = blocks_to_do(*team);
  return teams;
}

void grow_teams(std::vector<std::unique_ptr<Team>>& teams, const Growing& growing) {
  struct Job {
    Team* team;
    std::size_t block;
  };
  std::vector<Job> jobs;
  for (auto& team : teams)
    for (std::size_t block = 0; block < team->blocks(); ++block)
      if (team->blocks_left[block / kBlocksInChunk] > 0) jobs.push_back({team.get(), block});
  if (jobs.empty()) return;
  const bool exact = growing.kernel == CropKernel::exact;
  const CanopyTable table = exact ? CanopyTable{} : CanopyTable::of(teams.front()->work.settings);
  std::atomic<int> done{0};
  for_each_block(static_cast<int>(jobs.size()), growing.threads, [&](int j) {
    const auto [team, block] = jobs[static_cast<std::size_t>(j)];
    if (exact)
      grow_block_exactly(team->work, block, team->sinks);
    else
      grow_block(team->work, table, block, team->sinks);
    const std::size_t chunk = block / kBlocksInChunk;
    if (--team->blocks_left[chunk] == 0)
      for (auto& draft : team->drafts) draft.mark_done(chunk);
    if (growing.progress) growing.progress->step(++done, static_cast<long long>(jobs.size()));
  });
}

}  // namespace

CropRecords run_crop(const Land& land, const WeatherArchive& archive, const std::vector<CropRun>& runs, const Season& season,
                     const SeasonPatch& patch, const Growing& growing, const KnownWeather* known) {
  refuse_other_grid(land, archive);
  std::vector<MonthDay> planned;
  planned.reserve(runs.size());
  for (const auto& run : runs) planned.push_back(run.planned);
  CropWork shared{land,
                  season,
                  {},
                  default_run(season),
                  CropSettings::from(season.parameters),
                  CellDayReader(archive, land.cells, WeatherSettings::from(season.parameters), patch),
                  CellDayReader(archive, land.cells, WeatherSettings::from(season.parameters), {}),
                  season_windows(season, archive, planned),
                  {},
                  {}};
  if (known) {
    std::erase_if(shared.windows, [&](const SeasonWindow& window) { return window.harvest_year == known->harvest_year; });
    shared.splice = make_splice(season, archive, shared.windows, *known);
  }
  const bool exact = growing.kernel == CropKernel::exact;
  Cache* cache = exact ? nullptr : growing.cache;
  const std::string text = cache ? made_from(growing, season, patch, known) : "";
  CropRecords out;
  out.runs = runs;
  for (const auto& window : shared.windows) out.harvest_years.push_back(window.harvest_year);
  const std::size_t years = shared.windows.size();
  std::vector<std::size_t> missing;
  for (std::size_t r = 0; r < runs.size(); ++r) {
    auto kept = cache ? kept_records(cache, key_of(text, runs[r]), runs[r].units.size(), years) : std::nullopt;
    if (!kept) missing.push_back(r);
    out.records.push_back(kept ? std::move(*kept) : RecordSet());
    if (exact) out.balances.emplace_back(runs[r].units.size() * years);
  }
  auto teams = teams_of(shared, runs, missing, text, cache, out);
  grow_teams(teams, growing);
  for (auto& team : teams)
    for (std::size_t i = 0; i < team->runs.size(); ++i) out.records[team->runs[i]] = team->drafts[i].finish();
  return out;
}

CropRecords run_crop(const Land& land, const WeatherArchive& archive, const std::vector<CropRun>& runs, const Season& season,
                     const SeasonPatch& patch, int threads, Progress* progress, const KnownWeather* known) {
  return run_crop(land, archive, runs, season, patch, Growing{threads, progress, CropKernel::exact, nullptr, {}}, known);
}

}  // namespace rickyard
