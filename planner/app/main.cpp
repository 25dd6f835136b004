// Table of contents: parse, run one command, turn exceptions into the documented exit codes.
#include <fmt/core.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <csignal>
#include <exception>
#include <functional>
#include <new>
#include <thread>

#include "planner/app/commands.h"
#include "planner/app/crew.h"
#include "planner/app/session.h"
#include "planner/app/version.h"

namespace {

// The one piece of global state: a signal handler can reach nothing else.
std::stop_source& stop_source() {
  static std::stop_source source;
  return source;
}

volatile std::sig_atomic_t interrupts = 0;

extern "C" void on_interrupt(int) {
  // Asking twice means now: nothing half-written is ever named as a run.
  interrupts = interrupts + 1;
  if (interrupts > 1) _exit(rickyard::kInterrupted);
}

// Turns the signal into a stop request outside the handler, where that is allowed.
class InterruptWatch {
 public:
  InterruptWatch()
      : thread_([](const std::stop_token& end) {
          while (!end.stop_requested()) {
            if (interrupts > 0) stop_source().request_stop();
            std::this_thread::sleep_for(std::chrono::milliseconds(50));
          }
        }) {}

 private:
  std::jthread thread_;
};

void print_problems(const rickyard::InputError& error) {
  for (const auto& problem : error.problems) fmt::print(stderr, "{}\n", rickyard::to_text(problem));
}

int guarded(const std::function<int()>& command) {
  if (rickyard::Crew::rank() > 0) {
    try {
      return command();
    } catch (const std::exception& error) {
      rickyard::leave_crew(error.what());
      return rickyard::kDone;  // the first process has its own code
    }
  }
  try {
    return command();
  } catch (const rickyard::InputError& error) {
    print_problems(error);
    return rickyard::kBadInput;
  } catch (const rickyard::ContradictionError& error) {
    fmt::print(stderr, "error: the rules of this season contradict each other: {}\n", error.what());
    return rickyard::kContradiction;
  } catch (const rickyard::OutputError& error) {
    fmt::print(stderr, "error: cannot write: {}\n", error.what());
    return rickyard::kCannotWrite;
  } catch (const rickyard::Interrupted& why) {
    fmt::print(stderr, "{}; nothing was written\n", why.what());
    return rickyard::kInterrupted;
  } catch (const std::bad_alloc&) {
    fmt::print(stderr, "error: out of memory\n");
    return rickyard::kOurFault;
  } catch (const std::exception& error) {
    fmt::print(stderr, "error: our fault, please report it: {}\n", error.what());
    return rickyard::kOurFault;
  }
}

// Options that say how a run works on this machine; no figure depends on them.
void add_machine_options(CLI::App& command, rickyard::MachineOptions& machine) {
  command.add_option("--threads", machine.threads, "Threads; 0 takes all cores; the answer is the same on any number")
      ->check(CLI::Range(0, 1024));
  command
      .add_option_function<std::string>(
          "--kernel", [&machine](const std::string& kernel) { machine.exact_kernel = kernel == "exact"; },
          "fast, or exact: the slow plain arithmetic that fast is judged by")
      ->check(CLI::IsMember({"fast", "exact"}));
  command.add_option("--memory", machine.memory_bytes, "Memory for packing weather, e.g. 500M or 4G; larger archives are read in pieces")
      ->transform(CLI::AsSizeValue(false));
  command.add_option("--cache", machine.cache,
                     "Folder for what is kept between runs; default $XDG_CACHE_HOME/rickyard or ~/.cache/rickyard");
  command.add_option("--cache-limit", machine.cache_limit_bytes, "Size of all that is kept, e.g. 40G; what was used last goes last")
      ->transform(CLI::AsSizeValue(false));
  command.add_flag("--no-cache", machine.no_cache, "Keep nothing between runs and use nothing that was kept");
}

// What plan and contract share.
void add_plan_options(CLI::App& command, rickyard::PlanOptions& options) {
  command.add_option("season", options.season, "season.toml, or the folder it lies in")->required();
  command.add_option("--case", options.case_name, "A [[case]] of season.toml; without it the base plan");
  command.add_option("--name", options.name, "Name of the run folder; default the case");
  command.add_option("--note", options.note, "A note kept with the run");
  command.add_option("--out", options.out, "Folder that takes the run; default runs/<crop-year> beside season.toml");
  command.add_option("--limit", options.limit_n_pct, "Another nitrogen limit free of claim, % of dry matter");
  command.add_option("--stop", options.stop_n_pct, "Another nitrogen stop, % of dry matter");
  add_machine_options(command, options.machine);
  command.add_flag("--json", options.json, "Print the plan document as JSON instead of the summary");
}

void add_contract_options(CLI::App& command, rickyard::ContractOptions& options) {
  command.add_option("--lambda", options.lambda, "Weight of the dearest years beside the expected cost, in place of risk.lambda")
      ->check(CLI::Range(0.0, 100.0));
  command.add_option("--alpha", options.alpha, "The dearest years are the worst 1 - alpha, in place of risk.alpha")
      ->check(CLI::Range(0.0, 0.999));
  command.add_option("--chance", options.chance, "Least chance that the need is met, in place of risk.p")->check(CLI::Range(0.0, 1.0));
  command.add_option("--time-limit", options.time_limit_s, "Seconds for deciding; then the best so far is taken, with its gap")
      ->check(CLI::Range(0.001, 1e6));
}

}  // namespace

int main(int argc, char** argv) {
  const rickyard::Crew crew(argc, argv);
  CLI::App app{"Plans where next season's malting barley comes from, and how badly the plan can go wrong."};
  app.name("rickyard");
  app.set_version_flag("--version", std::string("rickyard ") + rickyard::kVersion);
  app.require_subcommand(1);
  app.footer(
      "Exit codes: 0 done (grain short is a result, said first), 1 our fault, 2 wrong call, 3 bad input,\n"
      "4 rules that contradict, 5 cannot write, 130 interrupted.");

  rickyard::NewOptions new_options;
  auto* make = app.add_subcommand("new", "Write a season folder of commented templates");
  make->add_option("folder", new_options.folder, "The folder to make; nothing in it is ever overwritten")->required();
  make->footer("Example: rickyard new season-2027");

  rickyard::CheckOptions check_options;
  auto* check = app.add_subcommand("check", "Read everything, run nothing, and list all that is wrong or doubtful");
  check->add_option("season", check_options.season, "season.toml, or the folder it lies in")->required();
  check->add_flag("--json", check_options.json, "Print the findings as JSON");
  check->footer("Example: rickyard check season-2027/season.toml");

  rickyard::PlanOptions plan_options;
  auto* plan = app.add_subcommand("plan", "Forecast qualifying grain, cover the shortfall, and report the blend of origins by month");
  add_plan_options(*plan, plan_options);
  plan->add_flag("--backtest", plan_options.backtest, "Past seasons too, forecast as on the date of this plan: was it right before?");
  plan->footer("Example: rickyard plan season-2027/season.toml --case \"dry summer\"");

  rickyard::ContractOptions contract_options;
  auto* contract = app.add_subcommand("contract", "How many hectares and how much cover to sign now, and what more safety costs");
  add_plan_options(*contract, contract_options.plan);
  add_contract_options(*contract, contract_options);
  contract->footer(
      "The run holds contracts_proposed.csv, the contracts table with the proposed amounts.\n"
      "Ctrl-C while it decides takes the best so far; a second one ends at once.\n"
      "Example: rickyard contract season-2027/season.toml --lambda 0.3 --time-limit 120");

  rickyard::SowingOptions sowing_options;
  std::vector<double> at;
  auto* sowing = app.add_subcommand("sowing", "Workable days, what waiting costs and the chance to qualify, by region or at a point");
  sowing->add_option("season", sowing_options.season, "season.toml, or the folder it lies in")->required();
  sowing->add_option("--region", sowing_options.regions, "A region's id; may be repeated; without it every contracted region")
      ->allow_extra_args(false);
  sowing->add_option("--at", at, "Longitude,latitude in degrees: the weather cell there, e.g. --at=-27.9,56.1")
      ->delimiter(',')
      ->expected(2)
      ->check(CLI::Range(-360.0, 360.0));
  sowing->add_option("--name", sowing_options.name, "Name of the run folder; default sowing");
  sowing->add_option("--note", sowing_options.note, "A note kept with the run");
  sowing->add_option("--out", sowing_options.out, "Folder that takes the run; default runs/<crop-year> beside season.toml");
  add_machine_options(*sowing, sowing_options.machine);
  sowing->add_flag("--json", sowing_options.json, "Print the sowing document as JSON instead of the table");
  sowing->footer("Example: rickyard sowing season-2027/season.toml --region north --at=-27.9,56.1");

  rickyard::HindcastOptions hindcast_options;
  auto* hindcast = app.add_subcommand("hindcast", "Was the forecast right before? Past seasons forecast as on chosen dates, and scored");
  hindcast->add_option("season", hindcast_options.season, "season.toml, or the folder it lies in")->required();
  hindcast
      ->add_option("--date", hindcast_options.dates,
                   "sowing, or a day as MM-DD; may be repeated; without it sowing, 1 May, 1 June and 15 July")
      ->allow_extra_args(false);
  hindcast->add_option("--year", hindcast_options.years, "Only this season; may be repeated")->allow_extra_args(false);
  hindcast->add_option("--name", hindcast_options.name, "Name of the run folder; default hindcast");
  hindcast->add_option("--note", hindcast_options.note, "A note kept with the run");
  hindcast->add_option("--out", hindcast_options.out, "Folder that takes the run; default runs/<crop-year> beside season.toml");
  add_machine_options(*hindcast, hindcast_options.machine);
  hindcast->add_flag("--json", hindcast_options.json, "Print the hindcast document as JSON instead of the tables");
  hindcast->footer("Example: rickyard hindcast season-2027/season.toml --date sowing --date 06-01");

  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    const int code = app.exit(error);
    return code == 0 ? rickyard::kDone : rickyard::kWrongCall;
  }

  std::signal(SIGINT, on_interrupt);
  if (rickyard::Crew::size() == 1) std::signal(SIGTERM, on_interrupt);  // of several processes: crew_mpi.cpp
  const InterruptWatch watch;
  return guarded([&] {
    if (*make) return rickyard::run_new(new_options);
    if (*check) return rickyard::run_check(check_options);
    if (*sowing) {
      if (at.size() == 2) sowing_options.at = {at[0], at[1]};
      return rickyard::run_sowing(sowing_options, stop_source().get_token());
    }
    if (*contract) return rickyard::run_contract(contract_options, stop_source().get_token());
    if (*hindcast) return rickyard::run_hindcast(hindcast_options, stop_source().get_token());
    return rickyard::run_plan(plan_options, stop_source().get_token());
  });
}
