// plan: the main job.
#include <fmt/core.h>

#include "io/plan_json.h"
#include "planner/app/commands.h"
#include "planner/app/crew.h"
#include "planner/app/open_season.h"
#include "planner/app/past_seasons.h"
#include "planner/app/run_writer.h"
#include "planner/app/session.h"
#include "planner/app/terminal.h"
#include "planner/document/hindcast_document.h"
#include "reports/summary_text.h"

namespace rickyard {
int run_plan(const PlanOptions& options, const std::stop_token& stop) {
  const auto file = season_file(options.season);
  const auto folder = std::filesystem::absolute(file).parent_path();
  Session session(open_season(file), folder, options.machine);
  if (Crew::rank() > 0) {
    serve_crew(session, options.machine.threads);
    return kDone;
  }
  const SeasonPatch patch = plan_patch(session.season(), options);

  std::string plan_text;
  PlanResult result;
  std::filesystem::path run;
  {
    TerminalProgress progress;
    result = session.plan(patch, progress, stop);
    if (options.backtest)
      add_backtest(past_seasons(session, {{date_of_plan(session.season())}, {}}, progress, stop).hindcast, result.document);
    plan_text = plan_json(result.document);
    progress.stage("writing the run");
    const std::string fallback = patch.name.empty() ? "base" : patch.name;
    run = write_run(session, result, plan_text,
                    {options.out.value_or(folder / "runs" / std::to_string(session.season().crop_year)),
                     options.name.empty() ? fallback : options.name, options.note, options.machine});
  }
  if (options.json)
    fmt::print("{}", plan_text);
  else
    fmt::print("{}\nReport: {}\n", summary_text(result.document), (run / "report.html").generic_string());
  return kDone;
}

}  // namespace rickyard
