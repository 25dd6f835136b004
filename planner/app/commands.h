#pragma once
// The program's commands. Each takes its options as a struct, prints to standard output, and returns an exit code.
#include <array>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

namespace rickyard {

/// Documented exit codes (README, "Exit codes").
enum ExitCode : int { kDone = 0, kOurFault = 1, kWrongCall = 2, kBadInput = 3, kContradiction = 4, kCannotWrite = 5, kInterrupted = 130 };

struct NewOptions {
  std::filesystem::path folder;
};

struct CheckOptions {
  std::filesystem::path season;
  bool json = false;
};

/// How a run works on this machine; no figure depends on it, but for the exact kernel (METHODS.md, "Fast kernel").
struct MachineOptions {
  int threads = 0;  // 0: all cores
  bool exact_kernel = false;
  std::uint64_t memory_bytes = std::uint64_t{1} << 30;        // for packing weather, see geo/reading_options.h
  bool no_cache = false;                                      // keep nothing between runs, use nothing kept
  std::filesystem::path cache;                                // folder; empty: default_cache_folder (io/file_cache.h)
  std::uint64_t cache_limit_bytes = std::uint64_t{40} << 30;  // of all that is kept
};
inline const char* kernel_name(const MachineOptions& machine) { return machine.exact_kernel ? "exact" : "fast"; }

struct PlanOptions {
  std::filesystem::path season;
  std::string case_name;                     // a [[case]] of season.toml; empty: the base plan
  std::string name;                          // of the run; default the case or "base"
  std::string note;                          // kept in the manifest
  std::optional<std::filesystem::path> out;  // folder that takes the run; default runs/<crop-year> beside season.toml
  std::optional<double> limit_n_pct, stop_n_pct;
  bool backtest = false;  // past seasons as on the plan's date beside it
  MachineOptions machine;
  bool json = false;
};

struct ContractOptions {
  PlanOptions plan;
  std::optional<double> lambda, alpha, chance;  // in place of [risk] lambda, alpha, p
  std::optional<double> time_limit_s;           // for deciding; then the best so far
};

struct SowingOptions {
  std::filesystem::path season;
  std::vector<std::string> regions;         // ids; empty and no point: every contracted region
  std::optional<std::array<double, 2>> at;  // lon, lat: the weather cell there
  std::string name, note;                   // as PlanOptions; the default name is "sowing"
  std::optional<std::filesystem::path> out;
  MachineOptions machine;
  bool json = false;
};

struct HindcastOptions {
  std::filesystem::path season;
  std::vector<std::string> dates;  // "sowing" or MM-DD; empty: usual_dates (planner/hindcast/make_hindcast.h)
  std::vector<int> years;          // only these seasons; empty: all
  std::string name, note;          // as PlanOptions; the default name is "hindcast"
  std::optional<std::filesystem::path> out;
  MachineOptions machine;
  bool json = false;
};

int run_new(const NewOptions& options);
int run_check(const CheckOptions& options);
int run_plan(const PlanOptions& options, const std::stop_token& stop);
int run_contract(const ContractOptions& options, const std::stop_token& stop);
int run_sowing(const SowingOptions& options, const std::stop_token& stop);
int run_hindcast(const HindcastOptions& options, const std::stop_token& stop);

}  // namespace rickyard
