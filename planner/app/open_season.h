#pragma once
// Opens a season file for a command: prints what is doubtful, throws InputError for what is wrong.
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "io/season_reader.h"
#include "planner/app/commands.h"
#include "planner/season/season.h"

namespace rickyard {

/// A folder stands for the season.toml in it.
std::filesystem::path season_file(const std::filesystem::path& given);

SeasonReading open_season(const std::filesystem::path& season_toml);

/// What is doubtful in these tables and files (names as in Problem::place), for a command that uses no others.
std::vector<std::string> warnings_about(const SeasonReading& reading, std::span<const char* const> tables);

/// The patch of a named case (capitals, spaces, hyphens and underscores do not count), or an empty one for "". Throws InputError that lists
/// the names there are.
SeasonPatch case_patch(const Season& season, const std::string& name);

/// The case and the flags of a plan as one patch, named after what differs.
SeasonPatch plan_patch(const Season& season, const PlanOptions& options);

}  // namespace rickyard
