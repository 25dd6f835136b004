#include "planner/app/session.h"

#include <fmt/format.h>

#include <algorithm>

#include "io/sha256.h"
#include "planner/app/crew.h"
#include "planner/app/session_watch.h"
#include "planner/app/version.h"
#include "planner/quality/select_years.h"
#include "planner/rules/season_defaults.h"
#include "planner/rules/season_rules.h"
#include "planner/sourcing/need.h"
#include "planner/sourcing/plan_sourcing.h"
#include "planner/supply/cell_qualifying.h"
#include "planner/supply/make_scenarios.h"
#include "planner/supply/supply_reference.h"
#include "planner/weather/et0.h"
#include "planner/weather/suitability.h"

namespace rickyard {

namespace {

std::string number(double value) { return fmt::format("{:a}", value); }
std::string number(const std::optional<double>& value) { return value ? number(*value) : "-"; }

// What the forecast depends on, as text: equal text, equal forecast.
std::string forecast_key(const SeasonPatch& patch) {
  std::string key;
  for (double factor : patch.rain_factor) key += number(factor) + ",";
  key += number(patch.temperature_shift_c) + "," + number(patch.yield_factor) + "," + number(patch.n_shift_pct) + "," +
         number(patch.other_failure_pct) + "," + fmt::format("{}", patch.sowing_shift_days);
  for (int year : patch.years) key += fmt::format(",{}", year);
  return key;
}

std::string supply_key(const SeasonPatch& patch) {
  std::string key = forecast_key(patch) + "|" + number(patch.limit_n_pct) + "," + number(patch.stop_n_pct) + "," +
                    number(patch.floor_n_pct) + "," + number(patch.demand_factor);
  for (const auto& lost : patch.regions_lost) key += "|" + lost;
  key += "||";
  for (const auto& lost : patch.backups_lost) key += "|" + lost;
  return key;
}

// What the plan knows of the season in hand, and how much of the time until as_of it does not.
void add_season_in_hand(const Season& season, const Date& through, std::vector<std::string>& warnings) {
  constexpr long kLateDays = 7;
  warnings.push_back(fmt::format("weather of the season in hand is known to {}; past seasons give the rest", to_text(through)));
  if (const auto missing = (season.as_of - through).days(); missing > kLateDays)
    warnings.push_back(fmt::format("the weather archive ends {} days before as_of: add the days to {} and the range narrows further",
                                   missing, to_text(season.as_of)));
}

std::string sourcing_key(const SeasonPatch& patch) {
  return supply_key(patch) + "|" + number(patch.lambda) + "," + number(patch.alpha) + "," + number(patch.p);
}

// Flags that stand in for risk.*.
Season with_risk(const Season& season, const SeasonPatch& patch) {
  Season out = season;
  if (patch.lambda) out.risk.lambda = patch.lambda;
  if (patch.alpha) out.risk.alpha = patch.alpha;
  if (patch.p) out.risk.p = patch.p;
  return out;
}

std::string place_of(const FieldPath& where) {
  return where.row < 0 ? "case: " + where.field : fmt::format("case: {} row {}: {}", where.table, where.row + 1, where.field);
}

void refuse_bad_patch(const Season& season, const SeasonPatch& patch) {
  std::vector<Problem> problems;
  for (const auto& finding : check_patch(season, patch))
    if (finding.severity == Severity::error)
      problems.push_back({finding.severity, place_of(finding.where), finding.value, finding.message, finding.remedy});
  if (!problems.empty()) throw InputError(problems);
}

}  // namespace

Session::Session(SeasonReading reading, std::filesystem::path folder, const MachineOptions& machine)
    : reading_(std::move(reading)), folder_(std::move(folder)), machine_(machine), crew_(make_crew()) {
  if (machine.no_cache) return;
  const auto kept = machine.cache.empty() ? default_cache_folder() : machine.cache;
  if (!kept.empty()) cache_ = std::make_unique<FileCache>(kept, machine.cache_limit_bytes);
}

Growing Session::growing() const {
  Growing out;
  out.threads = machine_.threads;
  out.kernel = machine_.exact_kernel ? CropKernel::exact : CropKernel::fast;
  out.crew = crew_.get();
  out.tally = tally_.get();
  if (cache_ && geography_ && !geography_->made_from.empty()) {
    out.cache = cache_.get();
    out.land_and_weather = geography_->made_from;
  }
  return out;
}

void Session::forget() {
  geography_.reset();
  forecaster_.reset();
  hashed_.clear();
  forecast_ = {};
  supply_ = {};
  sourcing_ = {};
  reference_.reset();
}

std::shared_ptr<const GeoReading> Session::geography(Progress& progress) {
  if (season().model == ForecastModel::formulas || geography_) return geography_;
  auto reading =
      std::make_shared<GeoReading>(read_geography(season(), folder_, progress, {machine_.threads, machine_.memory_bytes, cache_.get()}));
  if (has_error(reading->problems)) throw InputError(reading->problems);
  if (!reading->daily && !reading->monthly)
    throw InputError({{Severity::error, "season.toml ([rasters])", "", "no daily or monthly weather is given",
                       "add [rasters.rain], [rasters.tmin] and [rasters.tmax], or set model = \"formulas\""}});
  geography_ = reading;
  return geography_;
}

const Forecaster& Session::forecaster(Progress& progress) {
  if (!forecaster_) {
    const auto read = geography(progress);
    auto made = std::make_unique<Forecaster>(season(), read, growing());
    made->prepare(progress);
    forecaster_ = std::move(made);
  }
  return *forecaster_;
}

const std::vector<PlanDocument::Input>& Session::hashed_inputs() {
  if (!hashed_.empty()) return hashed_;
  const auto digest = [&](const std::filesystem::path& file) { return cache_ ? cache_->digest(file.string()) : sha256_of_file(file); };
  for (const auto& input : reading_.inputs) hashed_.push_back({input.relative, digest(input.path), input.role});
  if (geography_) {
    for (const auto& file : geography_->files)
      hashed_.push_back({std::filesystem::relative(file, folder_).generic_string(), digest(file), "geography"});
    for (const auto& raster : geography_->remote)
      hashed_.push_back({raster.url, sha256_hex(raster.identity), "geography, as its server states it"});
  }
  return hashed_;
}

std::shared_ptr<const HarvestForecast> Session::forecast(const SeasonPatch& patch, Watch& watch, Progress& progress) {
  const auto key = forecast_key(patch);
  if (forecast_.result && forecast_.key == key) return forecast_.result;
  if (!forecaster_) watch.time("crop and calibration", [&] { return &forecaster(progress); });
  progress.stage("forecasting the harvest");
  auto forecast = watch.time("crop and quality", [&] { return forecaster_->forecast(patch, Knowledge::up_to_date, progress); });
  const auto known = [&](int year) { return std::find(forecast.years.begin(), forecast.years.end(), year) != forecast.years.end(); };
  if (!patch.years.empty() && std::none_of(patch.years.begin(), patch.years.end(), known))
    throw InputError(
        {{Severity::error, "season.toml (case.years)", patch.name, "none of the years of the case is a weather year of this season",
          fmt::format("name years from {} to {}", forecast.years.front(), forecast.years.back())}});
  if (!patch.years.empty()) forecast = select_years(forecast, patch.years);
  forecast_ = {key, std::make_shared<const HarvestForecast>(std::move(forecast))};
  return forecast_.result;
}

std::shared_ptr<const SupplyScenarios> Session::supply(const SeasonPatch& patch, Watch& watch, Progress& progress,
                                                       const std::stop_token& stop) {
  const auto key = supply_key(patch);
  if (supply_.result && supply_.key == key) return supply_.result;
  const auto grown = forecast(patch, watch, progress);
  // A case, and a season partly known, are measured against past seasons alone: the same residual law, the same means behind shortages and
  // prices.
  const bool is_base = key == supply_key({}) && !forecaster_->knows_season_in_hand();
  if (!is_base && !reference_) set_reference(watch, progress, stop);
  stop_if_asked(stop);
  progress.stage("drawing the supply");
  auto made = watch.time("supply", [&] {
    return make_scenarios(forecaster_->season(), patch, *grown, machine_.threads, &progress, is_base ? nullptr : reference_.get());
  });
  supply_ = {key, std::make_shared<const SupplyScenarios>(std::move(made))};
  if (is_base) reference_ = std::make_shared<const SupplyReference>(supply_.result->reference);
  return supply_.result;
}

void Session::set_reference(Watch& watch, Progress& progress, const std::stop_token& stop) {
  progress.stage("measuring past seasons");
  const auto past = watch.time("reference", [&] {
    return supply_reference(forecaster_->season(), forecaster_->forecast({}, Knowledge::none, progress), machine_.threads, &progress);
  });
  stop_if_asked(stop);
  reference_ = std::make_shared<const SupplyReference>(past);
}

std::shared_ptr<const SourcingResult> Session::sourcing(const SeasonPatch& patch, const PlanResult& so_far, Watch& watch,
                                                        Progress& progress, const std::stop_token& stop) {
  const auto key = sourcing_key(patch);
  if (sourcing_.result && sourcing_.key == key) return sourcing_.result;
  progress.stage("solving the sourcing programme");
  auto solved = std::make_shared<const SourcingResult>(watch.time("programme", [&] {
    return plan_sourcing(*so_far.season, patch, *so_far.forecast, *so_far.need, *so_far.supply, &progress,
                         {machine_.threads, [&] { return stop.stop_requested(); }});
  }));
  if (solved->status != SolveStatus::stopped) sourcing_ = {key, solved};
  return solved;
}

PlanDocument Session::document(const SeasonPatch& patch, PlanResult& result) {
  const bool daily = season().model == ForecastModel::daily;
  const Season& in_force = *result.season;
  DocumentInput input{in_force,
                      patch,
                      daily ? &result.geography->land : nullptr,
                      *result.forecast,
                      *result.supply,
                      *result.need,
                      *result.sourcing,
                      {},
                      {},
                      {},
                      {},
                      {},
                      kVersion};
  input.calibration = &forecaster_->calibration();
  input.answers = result.answers.get();
  for (const auto& problem : reading_.problems) input.warnings.push_back(to_text(problem));
  input.warnings.insert(input.warnings.end(), result.supply->warnings.begin(), result.supply->warnings.end());
  if (daily) {
    const Land& land = result.geography->land;
    const WeatherArchive& archive = forecaster_->archive();
    input.weather_known_through = forecaster_->weather_known_through();
    for (const auto& problem : result.geography->problems) input.warnings.push_back(to_text(problem));
    for (std::size_t r = 0; r < land.regions.size(); ++r) input.suitability.push_back(suitability(land, archive, static_cast<int>(r)));
    input.cell_qualifying_t_ha = result.cell_qualifying_t_ha = cell_qualifying(in_force, patch, *result.forecast, land);
    for (auto& words : anchor_warnings(in_force, forecaster_->base().anchors)) input.warnings.push_back(std::move(words));
    if (archive.rain_disaggregated)
      input.warnings.push_back(fmt::format(
          "daily rain was drawn {} times from monthly totals by a wet-day chain: dates and dry spells are plausible, not observed",
          result.forecast->variants));
    if (input.weather_known_through) add_season_in_hand(season(), *input.weather_known_through, input.warnings);
    for (const auto& declared : result.geography->declared)
      input.stage_assumptions.push_back({declared.what, declared.value, "", "yours", "declared by the user; the file does not say"});
    input.stage_assumptions.push_back({"et0_method", et0_method(archive), "", "derived", "from the rasters given (METHODS.md)"});
  }
  input.inputs = hashed_inputs();
  return build_document(input);
}

template <typename Plan>
PlanResult Session::with_whole_cache(Plan&& plan) {
  try {
    return plan();
  } catch (const DamagedEntry&) {
    forget();
    return plan();
  }
}

PlanResult Session::plan(const SeasonPatch& patch, Progress& progress, const std::stop_token& stop) {
  return with_whole_cache([&] { return plan_once(patch, progress, stop); });
}

PlanResult Session::contract(const SeasonPatch& patch, std::optional<double> limit_s, Progress& progress, const std::stop_token& stop) {
  return with_whole_cache([&] { return contract_once(patch, limit_s, progress, stop); });
}

// Everything before the programme: land, weather, harvest, supply, need.
PlanResult Session::grown(const SeasonPatch& patch, Watch& watch, Progress& progress, const std::stop_token& stop) {
  PlanResult result;
  if (season().model == ForecastModel::daily) {
    progress.stage("reading regions and rasters");
    result.geography = geography_ ? geography_ : watch.time("reading", [&] { return geography(progress); });
    stop_if_asked(stop);
  }
  result.supply = supply(patch, watch, progress, stop);
  result.forecast = forecast(patch, watch, progress);
  stop_if_asked(stop);
  if (const auto key = number(patch.demand_factor); !need_.result || need_.key != key)
    need_ = {key, std::make_shared<const Need>(watch.time("need", [&] { return compute_need(forecaster_->season(), patch); }))};
  result.need = need_.result;
  result.season = std::make_shared<const Season>(with_risk(forecaster_->season(), patch));
  return result;
}

PlanResult Session::plan_once(const SeasonPatch& patch_in, Progress& progress, const std::stop_token& stop) {
  const SeasonPatch patch = whole_patch(patch_in);
  std::vector<StageTime> times;
  Watch watch(times);
  PlanResult result = grown(patch, watch, progress, stop);
  result.sourcing = sourcing(patch, result, watch, progress, stop);
  refuse_without_plan(*result.sourcing);
  result.document = document(patch, result);
  result.times = std::move(times);
  return result;
}

SeasonPatch Session::whole_patch(const SeasonPatch& patch) const {
  refuse_bad_patch(season(), patch);
  return completed_patch(season(), patch);
}

}  // namespace rickyard
