#include "planner/crop/crop_run.h"

#include <algorithm>
#include <atomic>
#include <memory>
#include <stdexcept>

#include "planner/base/blocks.h"
#include "planner/crop/crop_work.h"
#include "planner/crop/kept_runs.h"
#include "planner/crop/kept_water.h"
#include "planner/crop/lane_block.h"
#include "planner/crop/lane_kernel.h"

namespace rickyard {
namespace {

// Runs on the same units, which share weather and bare soil, and where their records go.
struct Team {
  CropWork work;
  std::vector<std::size_t> runs;  // of the request
  std::vector<RunDraft> drafts;
  std::vector<CropSink> sinks;
  std::vector<std::atomic<int>> blocks_left;  // [chunk]; 0: done before
  KeptWater water = {};

  std::size_t blocks() const { return (work.units.size() + kLanes - 1) / kLanes; }
  void chunk_done(std::size_t chunk, const Growing& growing) {
    water.mark_done(chunk);  // first, so that it is not left out where the records are found done
    for (auto& draft : drafts) draft.mark_done(chunk);
    if (growing.tally) growing.tally->grown += static_cast<long long>(drafts.size());
  }
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

// The water that seasons begin with does not depend on the runs: found, or noted where past seasons are grown in their own weather.
void share_water(std::vector<std::unique_ptr<Team>>& teams, Cache& cache, const std::string& made_of_past, bool note) {
  for (auto& team : teams) {
    CropWork& work = team->work;
    team->water = KeptWater(cache, water_key(made_of_past, work.units), work.units.size(), work.seasons, note);
    work.water = team->water.water();
  }
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
    if (--team->blocks_left[chunk] == 0) team->chunk_done(chunk, growing);
    if (growing.progress) growing.progress->step(++done, static_cast<long long>(jobs.size()));
  });
}

// The same by other processes.
void grow_by_crew(std::vector<std::unique_ptr<Team>>& teams, const CropOrder& order, const Growing& growing) {
  std::vector<CropChunk> chunks;
  for (std::size_t t = 0; t < teams.size(); ++t)
    for (std::size_t chunk = 0; chunk < teams[t]->blocks_left.size(); ++chunk)
      if (teams[t]->blocks_left[chunk] > 0) chunks.push_back({t, chunk});
  long long done = 0;
  const ChunkGrower here(teams.front()->work.land, teams.front()->work.reader.archive(), teams.front()->work.season, order);
  growing.crew->grow(order, chunks, here, growing.threads, [&](std::size_t at, std::vector<CropRecord> records) {
    Team& team = *teams[chunks[at].team];
    const std::size_t years = team.work.windows.size(), first = chunks[at].index * CropRecords::kChunk;
    const std::size_t stretch = std::min(CropRecords::kChunk, team.work.units.size() - first) * years;
    if (records.size() != stretch * team.sinks.size()) throw std::logic_error("a chunk of another size came back");
    for (std::size_t run = 0; run < team.sinks.size(); ++run)
      std::copy_n(records.begin() + static_cast<std::ptrdiff_t>(run * stretch), stretch, team.sinks[run].records + first * years);
    team.chunk_done(chunks[at].index, growing);
    if (growing.progress) growing.progress->step(++done, static_cast<long long>(chunks.size()));
  });
}

}  // namespace

CropRecords run_crop(const Land& land, const WeatherArchive& archive, const std::vector<CropRun>& runs, const Season& season,
                     const SeasonPatch& patch, const Growing& growing, const KnownWeather* known) {
  std::vector<MonthDay> planned;
  planned.reserve(runs.size());
  for (const auto& run : runs) planned.push_back(run.planned);
  const CropWork shared = shared_work(land, archive, planned, season, patch, known);
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
    if (!kept)
      missing.push_back(r);
    else if (growing.tally)
      growing.tally->kept += static_cast<long long>((runs[r].units.size() + CropRecords::kChunk - 1) / CropRecords::kChunk);
    out.records.push_back(kept ? std::move(*kept) : RecordSet());
    if (exact) out.balances.emplace_back(runs[r].units.size() * years);
  }
  auto teams = teams_of(shared, runs, missing, text, cache, out);
  if (growing.crew && !exact && !teams.empty()) {
    CropOrder order{growing.draw, planned, {}, patch, known ? std::optional(*known) : std::nullopt};
    for (const auto& team : teams) order.teams.push_back(team->work.runs);
    grow_by_crew(teams, order, growing);
  } else {
    if (cache && shared.run_on()) share_water(teams, *cache, made_from(growing, season, patch, nullptr), known == nullptr);
    grow_teams(teams, growing);
  }
  for (auto& team : teams) {
    team->water.finish();
    for (std::size_t i = 0; i < team->runs.size(); ++i) out.records[team->runs[i]] = team->drafts[i].finish();
  }
  return out;
}

struct ChunkGrower::Shared {
  CropWork work;
  std::vector<std::vector<CropRun>> teams;
  CanopyTable table;
};

ChunkGrower::ChunkGrower(const Land& land, const WeatherArchive& archive, const Season& season, const CropOrder& order)
    : shared_(std::make_unique<const Shared>(
          Shared{shared_work(land, archive, order.planned, season, order.patch, order.known ? &*order.known : nullptr), order.teams,
                 CanopyTable::of(CropSettings::from(season.parameters))})) {}
ChunkGrower::~ChunkGrower() = default;

std::vector<CropRecord> ChunkGrower::grow(const CropChunk& chunk, int threads) const {
  const auto& runs = shared_->teams.at(chunk.team);
  const auto& all = runs.front().units;
  const std::size_t first = chunk.index * CropRecords::kChunk, last = std::min(first + CropRecords::kChunk, all.size());
  CropWork work = shared_->work;
  work.runs = runs;
  work.units.assign(all.begin() + static_cast<std::ptrdiff_t>(first), all.begin() + static_cast<std::ptrdiff_t>(last));
  const std::size_t stretch = work.units.size() * work.windows.size();
  std::vector<CropRecord> records(stretch * runs.size());
  std::vector<CropSink> sinks;
  for (std::size_t run = 0; run < runs.size(); ++run) sinks.push_back({records.data() + run * stretch, nullptr});
  const int blocks = static_cast<int>((work.units.size() + kLanes - 1) / kLanes);
  for_each_block(blocks, threads, [&](int block) { grow_block(work, shared_->table, static_cast<std::size_t>(block), sinks); });
  return records;
}

CropRecords run_crop(const Land& land, const WeatherArchive& archive, const std::vector<CropRun>& runs, const Season& season,
                     const SeasonPatch& patch, int threads, Progress* progress, const KnownWeather* known) {
  return run_crop(land, archive, runs, season, patch, Growing{threads, progress, CropKernel::exact}, known);
}

}  // namespace rickyard
