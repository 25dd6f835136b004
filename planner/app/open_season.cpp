#include "planner/app/open_season.h"

#include <fmt/core.h>

#include <algorithm>
#include <cctype>

namespace rickyard {

namespace {

// "Dry summer", "dry-summer" and "dry_summer" are one name.
std::string plain(const std::string& name) {
  std::string out;
  for (char c : name)
    if (c != ' ' && c != '-' && c != '_') out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

}  // namespace

std::filesystem::path season_file(const std::filesystem::path& given) {
  return std::filesystem::is_directory(given) ? given / "season.toml" : given;
}

SeasonReading open_season(const std::filesystem::path& season_toml) {
  SeasonReading reading = read_season(season_toml);
  if (has_error(reading.problems) || !reading.season) throw InputError(reading.problems);
  return reading;
}

SeasonPatch case_patch(const Season& season, const std::string& name) {
  if (name.empty() || name == "base") return {};
  auto at = std::find_if(season.cases.begin(), season.cases.end(), [&](const SeasonPatch& patch) { return patch.name == name; });
  if (at == season.cases.end())
    at = std::find_if(season.cases.begin(), season.cases.end(), [&](const SeasonPatch& patch) { return plain(patch.name) == plain(name); });
  if (at != season.cases.end()) return *at;
  std::string known;
  for (const auto& patch : season.cases) known += (known.empty() ? "" : ", ") + patch.name;
  throw InputError({{Severity::error, "season.toml ([[case]])", name, "no case has this name",
                     known.empty() ? "add a [[case]] block" : "choose one of: " + known}});
}

std::vector<std::string> warnings_about(const SeasonReading& reading, std::span<const char* const> tables) {
  std::vector<std::string> warnings;
  for (const auto& problem : reading.problems)
    if (std::any_of(tables.begin(), tables.end(), [&](const char* table) { return problem.place.find(table) != std::string::npos; }))
      warnings.push_back(to_text(problem));
  return warnings;
}

SeasonPatch plan_patch(const Season& season, const PlanOptions& options) {
  SeasonPatch patch = case_patch(season, options.case_name);
  if (options.limit_n_pct) patch.limit_n_pct = options.limit_n_pct;
  if (options.stop_n_pct) patch.stop_n_pct = options.stop_n_pct;
  if (options.limit_n_pct) patch.name += fmt::format("{}limit {:.2f}", patch.name.empty() ? "" : ", ", *options.limit_n_pct);
  if (options.stop_n_pct) patch.name += fmt::format("{}stop {:.2f}", patch.name.empty() ? "" : ", ", *options.stop_n_pct);
  return patch;
}

}  // namespace rickyard
