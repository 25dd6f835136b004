// new and check: the two commands that run nothing.
#include <fmt/core.h>

#include <algorithm>

#include "io/problem_json.h"
#include "io/season_template.h"
#include "planner/app/commands.h"
#include "planner/app/open_season.h"
#include "planner/app/session.h"
#include "planner/app/terminal.h"

namespace rickyard {
namespace {

// Problems of the season file and tables, then of regions and rasters if the season could be read.
std::vector<Problem> all_problems(const CheckOptions& options) {
  SeasonReading reading = read_season(options.season);
  std::vector<Problem> problems = reading.problems;
  if (!reading.season || reading.season->model == ForecastModel::formulas) return problems;
  TerminalProgress progress;
  progress.stage("reading regions and rasters");
  const GeoReading geography = read_geography(*reading.season, options.season.parent_path(), progress);
  problems.insert(problems.end(), geography.problems.begin(), geography.problems.end());
  return problems;
}

std::size_t count(const std::vector<Problem>& problems, Severity severity) {
  return static_cast<std::size_t>(
      std::count_if(problems.begin(), problems.end(), [&](const Problem& p) { return p.severity == severity; }));
}

}  // namespace

int run_new(const NewOptions& options) {
  write_season_template(options.folder);
  fmt::print(
      "Made {0}.\n"
      "Next: fill in contracts.csv, backups.csv and demand.csv (COLUMNS.md says what each column means),\n"
      "then: rickyard check {0}/season.toml\n",
      options.folder.generic_string());
  return kDone;
}

int run_check(const CheckOptions& given) {
  CheckOptions options = given;
  options.season = season_file(given.season);
  const auto problems = all_problems(options);
  const bool bad = has_error(problems);
  if (options.json) {
    fmt::print("{}", problems_json(problems));
    return bad ? kBadInput : kDone;
  }
  for (const auto& problem : problems) fmt::print("{}\n", to_text(problem));
  fmt::print("{} error(s), {} warning(s), {} note(s) in {}\n", count(problems, Severity::error), count(problems, Severity::warning),
             count(problems, Severity::note), options.season.generic_string());
  if (!bad) fmt::print("Nothing stands in the way of: rickyard plan {}\n", options.season.generic_string());
  return bad ? kBadInput : kDone;
}

}  // namespace rickyard
