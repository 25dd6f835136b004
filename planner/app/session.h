#pragma once
// A session holds one season and the typed result of every stage, each with the key of what it was made from.
// plan() recomputes only the stages whose key changed. Commands call it and nothing else.
#include <filesystem>
#include <memory>
#include <stop_token>
#include <string>
#include <vector>

#include "geo/read_geography.h"
#include "io/file_cache.h"
#include "io/season_reader.h"
#include "planner/app/commands.h"
#include "planner/app/forecaster.h"
#include "planner/base/progress.h"
#include "planner/document/build_document.h"

namespace rickyard {

/// Thrown between stages after an interrupt (exit code 130).
struct Interrupted : std::runtime_error {
  Interrupted() : std::runtime_error("interrupted") {}
};

struct StageTime {
  std::string stage;
  double seconds = 0;
};

/// Everything one plan is made of; the shared parts are never changed after they were made.
struct PlanResult {
  PlanDocument document;
  std::shared_ptr<const GeoReading> geography;  // null with model = formulas
  std::shared_ptr<const HarvestForecast> forecast;
  std::shared_ptr<const SupplyScenarios> supply;
  std::shared_ptr<const Need> need;
  std::shared_ptr<const SourcingResult> sourcing;
  std::vector<double> cell_qualifying_t_ha;
  std::vector<StageTime> times;  // of the stages that ran
};

class Session {
 public:
  /// reading must hold a season (no errors). folder: where season.toml lies.
  Session(SeasonReading reading, std::filesystem::path folder, const MachineOptions& machine);

  /// As the user gave it, defaults filled.
  const Season& season() const { return *reading_.season; }
  /// The season every figure is made from: calibrated by deliveries once the forecaster is prepared.
  const Season& season_in_force() const { return forecaster_ ? forecaster_->season() : season(); }
  const std::vector<InputFile>& inputs() const { return reading_.inputs; }
  const std::filesystem::path& folder() const { return folder_; }

  /// How crops grow here; progress is left to the caller.
  Growing growing() const;

  /// Chunks of crops grown and found kept so far.
  const GrowthTally& growth() const { return *tally_; }

  /// Forgets every stage, after something kept turned out damaged (DamagedEntry): what comes next makes it anew.
  void forget();

  /// Reads regions and rasters, once. Throws InputError with every problem found.
  std::shared_ptr<const GeoReading> geography(Progress& progress);

  /// Base crop, anchors and calibration, prepared once. Reads the geography first where it was not read.
  const Forecaster& forecaster(Progress& progress);

  /// The plan of one patch. Throws InputError, ContradictionError, Interrupted.
  PlanResult plan(const SeasonPatch& patch, Progress& progress, const std::stop_token& stop = {});

  /// Every file read so far with its SHA-256; a raster on a server by what the server says of it.
  const std::vector<PlanDocument::Input>& hashed_inputs();

 private:
  template <typename T>
  struct Stage {
    std::string key;
    std::shared_ptr<const T> result;
  };

  SeasonReading reading_;
  std::filesystem::path folder_;
  MachineOptions machine_;
  std::unique_ptr<FileCache> cache_;  // null: nothing is kept between runs
  std::unique_ptr<CropCrew> crew_;    // other processes; null where there are none
  std::unique_ptr<GrowthTally> tally_ = std::make_unique<GrowthTally>();
  std::shared_ptr<const GeoReading> geography_;
  std::vector<PlanDocument::Input> hashed_;  // inputs with their SHA-256, made once
  std::unique_ptr<Forecaster> forecaster_;
  Stage<HarvestForecast> forecast_;
  Stage<SupplyScenarios> supply_;
  Stage<Need> need_;
  Stage<SourcingResult> sourcing_;
  std::shared_ptr<const SupplyReference> reference_;  // of the base plan: what every case is measured against

  class Watch;
  std::shared_ptr<const HarvestForecast> forecast(const SeasonPatch& patch, Watch& watch, Progress& progress);
  std::shared_ptr<const SupplyScenarios> supply(const SeasonPatch& patch, Watch& watch, Progress& progress, const std::stop_token& stop);
  std::shared_ptr<const SourcingResult> sourcing(const SeasonPatch& patch, const PlanResult& so_far, Watch& watch, Progress& progress);
  void set_reference(Watch& watch, Progress& progress, const std::stop_token& stop);
  PlanDocument document(const SeasonPatch& patch, PlanResult& result);
  PlanResult plan_once(const SeasonPatch& patch, Progress& progress, const std::stop_token& stop);
};

}  // namespace rickyard
