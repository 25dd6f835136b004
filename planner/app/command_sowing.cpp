// sowing: when the land can be worked, and what a sowing date does, by region or at a point.
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <ctime>

#include "io/manifest.h"
#include "io/run_folder.h"
#include "io/run_folder_files.h"
#include "io/sowing_json.h"
#include "io/table_writer.h"
#include "planner/app/commands.h"
#include "planner/app/crew.h"
#include "planner/app/open_season.h"
#include "planner/app/run_writer.h"
#include "planner/app/session.h"
#include "planner/app/terminal.h"
#include "planner/app/version.h"
#include "planner/sowing/make_advice.h"
#include "planner/sowing/sowing_places.h"
#include "reports/sowing_sheet.h"
#include "reports/sowing_tables.h"
#include "reports/sowing_text.h"

namespace rickyard {
namespace {

// Backups, demand and prices are the plan's.
constexpr std::array kTables = {"contracts", "varieties", "history", "season.toml"};

void stop_if_asked(const std::stop_token& stop) {
  if (stop.stop_requested()) throw Interrupted();
}

struct SowingRun {
  SowingDocument document;
  std::vector<Anchor> anchors;  // one for each contract row; none with model = formulas
};

SowingRun make_run(Session& session, const SowingOptions& options, std::vector<std::string> warnings, Progress& progress,
                   const std::stop_token& stop) {
  const SowingRequest request{options.regions, options.at};
  SowingRun run;
  std::vector<SowingAdvice> advice;
  std::shared_ptr<const GeoReading> geography;
  const bool daily = session.season().model == ForecastModel::daily;
  if (daily) {
    progress.stage("reading regions and rasters");
    geography = session.geography(progress);
    for (const auto& problem : geography->problems) warnings.push_back(to_text(problem));
    stop_if_asked(stop);
  }
  sowing_places(session.season(), request, geography ? &geography->land : nullptr);  // refuses a wrong region or point before the long work
  const Forecaster& forecaster = session.forecaster(progress);
  const Season& season = forecaster.season();
  stop_if_asked(stop);
  if (forecaster.calibration().used)
    warnings.push_back("yields and nitrogen of the contracts are calibrated on past deliveries, as in the plan");
  if (daily) {
    if (forecaster.archive().rain_disaggregated)
      warnings.push_back("daily rain was drawn once from monthly totals by a wet-day chain: workable days are plausible, not observed");
    Growing growing = session.growing();
    growing.progress = &progress;
    advice = sowing_advice(season, request, geography->land, forecaster.archive(), forecaster.base(), growing);
    for (const auto& row : forecaster.base().anchors.rows) run.anchors.push_back(row.shift);
  } else {
    advice = sowing_advice_by_formulas(season, request);
  }
  stop_if_asked(stop);
  run.document =
      build_sowing_document(session.season_in_force(), std::move(advice), std::move(warnings), session.hashed_inputs(), kVersion);
  return run;
}

std::string manifest_text(const Session& session, const SowingRun& run, const SowingOptions& options, std::time_t now) {
  Manifest manifest = manifest_of(session, session.season_in_force().parameters, run.document.inputs, options.note, options.machine, now);
  manifest.anchors = run.anchors;
  for (const auto& year : run.document.years) manifest.year_weights.emplace_back(year.year, year.weight);
  return manifest_json(manifest);
}

// "02-east-low.html": the place's number keeps names apart.
std::string sheet_name(const SowingAdvice& place, std::size_t index) {
  std::string name;
  for (char c : place.at ? "point-in-" + place.region : place.region)
    name += std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' ? c : '-';
  return fmt::format("{:02}-{}.html", index + 1, name.substr(0, 60));
}

void write_sheets(const SowingDocument& document, const std::filesystem::path& folder) {
  std::error_code error;
  std::filesystem::create_directory(folder, error);
  if (error) cannot_write(folder, "cannot be made", error.value());
  for (std::size_t i = 0; i < document.sowing.size(); ++i)
    write_file(folder / sheet_name(document.sowing[i], i), sowing_sheet(document, i));
}

}  // namespace

int run_sowing(const SowingOptions& options, const std::stop_token& stop) {
  const auto file = season_file(options.season);
  const auto folder = std::filesystem::absolute(file).parent_path();
  SeasonReading reading = open_season(file);
  const auto warnings = warnings_about(reading, kTables);
  Session session(std::move(reading), folder, options.machine);
  if (Crew::rank() > 0) {
    serve_crew(session, options.machine.threads);
    return kDone;
  }
  SowingRun run;
  std::string text;
  std::filesystem::path at;
  {
    TerminalProgress progress;
    try {
      run = make_run(session, options, warnings, progress, stop);
    } catch (const DamagedEntry&) {
      session.forget();
      run = make_run(session, options, warnings, progress, stop);
    }
    text = sowing_json(run.document);
    progress.stage("writing the run");
    const std::time_t now = std::time(nullptr);
    RunFolder out(options.out.value_or(folder / "runs" / std::to_string(session.season().crop_year)),
                  options.name.empty() ? "sowing" : options.name, now);
    out.write("sowing.json", text);
    for (const auto& table : sowing_tables(run.document)) out.write(table.name + ".csv", to_csv(table));
    write_sheets(run.document, out.path("sheets"));
    out.write("manifest.json", manifest_text(session, run, options, now));
    at = out.commit();
  }
  if (options.json)
    fmt::print("{}", text);
  else
    fmt::print("{}\nSheets to print: {}\n", sowing_text(run.document), (at / "sheets").generic_string());
  return kDone;
}

}  // namespace rickyard
