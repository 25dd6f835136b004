// contract: how many hectares and how much cover to sign, and what more safety costs.
#include <fmt/core.h>

#include "io/plan_json.h"
#include "planner/app/commands.h"
#include "planner/app/crew.h"
#include "planner/app/open_season.h"
#include "planner/app/run_writer.h"
#include "planner/app/session.h"
#include "planner/app/terminal.h"
#include "reports/contract_text.h"

namespace rickyard {

int run_contract(const ContractOptions& options, const std::stop_token& stop) {
  const PlanOptions& plan = options.plan;
  const auto file = season_file(plan.season);
  const auto folder = std::filesystem::absolute(file).parent_path();
  Session session(open_season(file), folder, plan.machine);
  if (Crew::rank() > 0) {
    serve_crew(session, plan.machine.threads);
    return kDone;
  }
  SeasonPatch patch = plan_patch(session.season(), plan);
  patch.lambda = options.lambda;
  patch.alpha = options.alpha;
  patch.p = options.chance;

  std::string plan_text;
  PlanResult result;
  std::filesystem::path run;
  {
    TerminalProgress progress;
    result = session.contract(patch, options.time_limit_s, progress, stop);
    plan_text = plan_json(result.document);
    progress.stage("writing the run");
    const std::string fallback = patch.name.empty() ? "contract" : "contract " + patch.name;
    run = write_run(session, result, plan_text,
                    {plan.out.value_or(folder / "runs" / std::to_string(session.season().crop_year)),
                     plan.name.empty() ? fallback : plan.name, plan.note, plan.machine});
  }
  if (plan.json)
    fmt::print("{}", plan_text);
  else
    fmt::print("{}\nProposed contracts: {}\nReport: {}\n", contract_text(result.document),
               (run / "contracts_proposed.csv").generic_string(), (run / "report.html").generic_string());
  return kDone;
}

}  // namespace rickyard
