#pragma once
// A session holds one season and the typed result of every stage, each with the key of what it was made from.
// plan() recomputes only the stages whose key changed. Commands call it and nothing else.
#include <filesystem>
#include <functional>
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

/// Thrown after an interrupt or a time limit where there is no plan to show yet (exit code 130).
struct Interrupted : std::runtime_error {
  explicit Interrupted(const std::string& why = "interrupted") : std::runtime_error(why) {}
};

struct StageTime {
  std::string stage;
  double seconds = 0;
};

/// Everything one plan is made of; the shared parts are never changed after they were made.
struct PlanResult {
  PlanDocument document;
  std::shared_ptr<const GeoReading> geography;  // null with model = formulas
  std::shared_ptr<const Season> season;         // as it was planned: calibrated, with the patch's risk, at the proposed amounts
  std::shared_ptr<const HarvestForecast> forecast;
  std::shared_ptr<const SupplyScenarios> supply;
  std::shared_ptr<const Need> need;
  std::shared_ptr<const SourcingResult> sourcing;
  std::shared_ptr<const ContractAnswers> answers;  // contract only
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

  /// The plan of one patch. A stop while the programme is solved gives the best plan so far, marked; before that it throws Interrupted.
  /// Throws InputError, ContradictionError, Interrupted.
  PlanResult plan(const SeasonPatch& patch, Progress& progress, const std::stop_token& stop = {});

  /// Decides what to sign and what to order now, and plans at that; limit_s: seconds for deciding, then the best so far is taken. As
  /// plan().
  PlanResult contract(const SeasonPatch& patch, std::optional<double> limit_s, Progress& progress, const std::stop_token& stop = {});

  /// The contracts table as the user wrote it.
  const RawTable& contracts_table() const { return reading_.contracts; }

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
  using Stop = std::function<bool()>;
  std::shared_ptr<const HarvestForecast> forecast(const SeasonPatch& patch, Watch& watch, Progress& progress);
  std::shared_ptr<const SupplyScenarios> supply(const SeasonPatch& patch, Watch& watch, Progress& progress, const std::stop_token& stop);
  std::shared_ptr<const SourcingResult> sourcing(const SeasonPatch& patch, const PlanResult& so_far, Watch& watch, Progress& progress,
                                                 const std::stop_token& stop);
  void set_reference(Watch& watch, Progress& progress, const std::stop_token& stop);
  PlanDocument document(const SeasonPatch& patch, PlanResult& result);
  SeasonPatch whole_patch(const SeasonPatch& patch) const;  // checked, with what the season fills in
  template <typename Plan>
  PlanResult with_whole_cache(Plan&& plan);
  PlanResult grown(const SeasonPatch& patch, Watch& watch, Progress& progress, const std::stop_token& stop);
  PlanResult plan_once(const SeasonPatch& patch, Progress& progress, const std::stop_token& stop);

  // contract(), in session_contract.cpp.
  PlanResult contract_once(const SeasonPatch& patch, std::optional<double> limit_s, Progress& progress, const std::stop_token& stop);
  Decision decision(const SeasonPatch& patch, const PlanResult& listed, const Stop& stop, Watch& watch, Progress& progress);
  PlanResult at_amounts(const SeasonPatch& patch, const PlanResult& listed, const Decision& decision, const Stop& stop, Watch& watch,
                        Progress& progress);
  std::shared_ptr<SupplyScenarios> supply_at_amounts(const SeasonPatch& patch, const PlanResult& listed, const std::vector<double>& scale);
  std::vector<LadderStep> limit_ladder(const SeasonPatch& patch, const PlanResult& listed, const PlanResult& chosen,
                                       const std::vector<double>& scale, const Stop& stop, Progress& progress);
  ContractAnswers answers(const SeasonPatch& patch, const PlanResult& listed, const PlanResult& chosen, const Decision& decision,
                          const Stop& stop, Watch& watch, Progress& progress);
};

}  // namespace rickyard
