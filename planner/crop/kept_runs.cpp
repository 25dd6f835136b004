#include "planner/crop/kept_runs.h"

#include <fmt/format.h>

#include "planner/crop/code_digest.h"
#include "planner/crop/default_run.h"
#include "planner/crop/parameters.h"
#include "planner/weather/parameters.h"

namespace rickyard {
namespace {

static_assert(std::is_trivially_copyable_v<CropRecord>);

std::string number(double value) { return fmt::format("{:a}", value); }

std::size_t chunk_bytes(std::size_t years) { return CropRecords::kChunk * years * sizeof(CropRecord); }

}  // namespace

// Runs of consecutive units as first-last.
std::string unit_ranges(const std::vector<int>& units) {
  std::string text;
  for (std::size_t i = 0; i < units.size();) {
    std::size_t j = i;
    while (j + 1 < units.size() && units[j + 1] == units[j] + 1) ++j;
    text += fmt::format("{}-{},", units[i], units[j]);
    i = j + 1;
  }
  return text;
}

std::string made_from(const Growing& growing, const Season& season, const SeasonPatch& patch, const KnownWeather* known) {
  std::string text = fmt::format("crop records, code {}, record of {} bytes, kernel {}\n", kCropCodeDigest, sizeof(CropRecord),
                                 growing.kernel == CropKernel::fast ? "fast" : "exact");
  text += fmt::format("land and weather {}:{}\n", growing.land_and_weather.size(), growing.land_and_weather);
  text += fmt::format("season {} {} {}\n", to_text(season.season_start), to_text(season.season_end),
                      season.start == SeasonStart::previous_year ? "previous_year" : "field_capacity");
  for (const auto table : {weather_parameters(), crop_parameters()})
    for (const auto& spec : table) text += fmt::format("{}={}\n", spec.name, number(season.parameters[spec.name]));
  const CropRun own = default_run(season);
  text += fmt::format("own crop {} {}\nrain", to_text(own.planned), own.wait_days);
  for (const double factor : patch.rain_factor) text += " " + number(factor);
  text += fmt::format("\nwarmer {}\n", number(patch.temperature_shift_c));
  text += known ? fmt::format("known {} to {}\n", known->harvest_year, to_text(known->through)) : "known nothing\n";
  return text;
}

CacheKey key_of(const std::string& made_from, const CropRun& run) {
  return {"crop", made_from + fmt::format("planned {}, wait {}, factor {}, part {}, sown {}\nunits {}\n", to_text(run.planned),
                                          run.wait_days, number(run.thermal_factor), run.drilled_after,
                                          run.sown_on ? to_text(*run.sown_on) : "-", unit_ranges(run.units))};
}

RunDraft::RunDraft(Cache* cache, const CacheKey& key, std::size_t units, std::size_t years) {
  if (cache && units * years > 0) draft_ = cache->create(key, units * years * sizeof(CropRecord), chunk_bytes(years));
  if (!draft_) own_.resize(units * years);
}

void RunDraft::mark_done(std::size_t chunk) {
  if (!draft_) return;
  draft_->mark_done(chunk);
  draft_->release(chunk);
}

RecordSet RunDraft::finish() {
  if (!draft_) return RecordSet(std::move(own_));
  auto entry = draft_->finish();
  const auto bytes = entry->bytes();
  return RecordSet({reinterpret_cast<const CropRecord*>(bytes.data()), bytes.size() / sizeof(CropRecord)}, std::move(entry));
}

std::shared_ptr<const CacheEntry> whole_entry(Cache& cache, const CacheKey& key, std::size_t bytes) {
  auto entry = cache.find(key);
  if (!entry || entry->bytes().size() != bytes) return nullptr;
  try {
    entry->require(0, bytes);
  } catch (const DamagedEntry&) {
    return nullptr;  // it is gone, and is made anew
  }
  return entry;
}

std::optional<RecordSet> kept_records(Cache* cache, const CacheKey& key, std::size_t units, std::size_t years) {
  auto entry = cache ? whole_entry(*cache, key, units * years * sizeof(CropRecord)) : nullptr;
  if (!entry) return std::nullopt;
  const auto bytes = entry->bytes();
  return RecordSet({reinterpret_cast<const CropRecord*>(bytes.data()), units * years}, std::move(entry));
}

}  // namespace rickyard
