// hindcast: past seasons forecast as on chosen dates, scored against what was delivered.
#include <fmt/core.h>

#include <array>
#include <ctime>

#include "io/hindcast_json.h"
#include "io/manifest.h"
#include "io/run_folder.h"
#include "io/table_writer.h"
#include "planner/app/commands.h"
#include "planner/app/crew.h"
#include "planner/app/open_season.h"
#include "planner/app/past_seasons.h"
#include "planner/app/run_writer.h"
#include "planner/app/session.h"
#include "planner/app/terminal.h"
#include "planner/app/version.h"
#include "planner/document/hindcast_document.h"
#include "planner/hindcast/make_hindcast.h"
#include "reports/hindcast_tables.h"
#include "reports/hindcast_text.h"

namespace rickyard {
namespace {

// Backups, demand and prices are the plan's.
constexpr std::array kTables = {"contracts", "varieties", "history", "season.toml"};

HindcastRequest request_of(const Season& season, const HindcastOptions& options) {
  HindcastRequest request{{}, options.years};
  const auto usual = usual_dates(season);
  for (const auto& name : options.dates) {
    if (name == "sowing") {
      request.dates.push_back(usual.front());
      continue;
    }
    const auto day = parse_month_day(name);
    if (!day)
      throw InputError(
          {{Severity::error, "--date", name, "this is no day of the year", "write \"sowing\" or a day as MM-DD, e.g. --date 06-01"}});
    request.dates.push_back({name, *day});
  }
  if (request.dates.empty()) request.dates = usual;
  return request;
}

HindcastDocument make_document(Session& session, const HindcastOptions& options, std::vector<std::string> warnings, Progress& progress,
                               const std::stop_token& stop) {
  const Season& season = session.season();
  auto past = past_seasons(session, request_of(season, options), progress, stop);
  warnings.insert(warnings.end(), past.warnings.begin(), past.warnings.end());
  return build_hindcast_document(season, std::move(past.hindcast), std::move(warnings), session.hashed_inputs(), kVersion);
}

}  // namespace

int run_hindcast(const HindcastOptions& options, const std::stop_token& stop) {
  const auto file = season_file(options.season);
  const auto folder = std::filesystem::absolute(file).parent_path();
  SeasonReading reading = open_season(file);
  const auto warnings = warnings_about(reading, kTables);
  Session session(std::move(reading), folder, options.machine);
  if (Crew::rank() > 0) {
    serve_crew(session, options.machine.threads);
    return kDone;
  }
  HindcastDocument document;
  std::string text;
  std::filesystem::path at;
  {
    TerminalProgress progress;
    try {
      document = make_document(session, options, warnings, progress, stop);
    } catch (const DamagedEntry&) {
      session.forget();
      document = make_document(session, options, warnings, progress, stop);
    }
    text = hindcast_json(document);
    progress.stage("writing the run");
    const std::time_t now = std::time(nullptr);
    RunFolder out(options.out.value_or(folder / "runs" / std::to_string(session.season().crop_year)),
                  options.name.empty() ? "hindcast" : options.name, now);
    out.write("hindcast.json", text);
    for (const auto& table : hindcast_tables(document)) out.write(table.name + ".csv", to_csv(table));
    out.write("manifest.json",
              manifest_json(manifest_of(session, session.season().parameters, document.inputs, options.note, options.machine, now)));
    at = out.commit();
  }
  if (options.json)
    fmt::print("{}", text);
  else
    fmt::print("{}\nAll seasons: {}\n", hindcast_text(document), (at / "hindcast.csv").generic_string());
  return kDone;
}

}  // namespace rickyard
