#pragma once
// A new season folder: season.toml with every key explained, three tables to fill in, and the reference of all columns.
#include <filesystem>
#include <string>

namespace rickyard {

/// Writes season.toml, contracts.csv, backups.csv, demand.csv and COLUMNS.md into `dir`, which is made where it does not exist.
/// Throws OutputError, with nothing written, where one of the files is there already or the folder cannot be written.
void write_season_template(const std::filesystem::path& dir);

/// The text of the template season.toml: runs without rasters once the tables hold rows.
std::string season_toml_template();

/// COLUMNS.md: every table column, key and parameter with unit, range, default, status, source and meaning,
/// from the same lists the reader uses.
std::string columns_reference();

}  // namespace rickyard
