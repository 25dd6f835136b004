#include "io/season_template.h"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <map>
#include <vector>

#include "planner/base/problem.h"
#include "planner/rules/all_parameters.h"
#include "planner/rules/season_fields.h"

namespace rickyard {
namespace {

namespace fs = std::filesystem;

// Keys that the template sets; all others stand in comments with their default.
const std::map<std::string_view, std::string_view> kSet = {
    {"crop_year", "2027"},
    {"as_of", "2027-02-15"},
    {"model", "\"formulas\""},
    {"plan_from", "\"2027-11\""},
    {"plan_to", "\"2028-10\""},
    {"spec.limit_n_pct", "1.65"},
    {"spec.floor_n_pct", "1.20"},
    {"tables.contracts", "\"contracts.csv\""},
    {"tables.backups", "\"backups.csv\""},
    {"tables.demand", "\"demand.csv\""},
};

// The columns of the short tables: what has no default, and the usual way to give the amount.
const std::vector<std::pair<std::string_view, std::string_view>> kShortTables = {
    {"contracts", "region,form,planted_ha,yield_t_ha\n"},
    {"backups", "source,origin,cap_t_month,price_per_t\n"},
    {"demand", "line,month,spirit_lpa\n"},
};

constexpr std::string_view kHead =
    "# A season. Lines that begin with # are comments; a key behind #: stands at its default and may be uncommented.\n"
    "# 1. Change crop_year, as_of, plan_from and plan_to below; under [risk] state unmet_price, what a tonne short would cost you.\n"
    "# 2. Fill in contracts.csv, backups.csv and demand.csv, one row a line. COLUMNS.md explains these and all other columns.\n"
    "# 3. Run `rickyard check season.toml`, then `rickyard plan season.toml`.\n"
    "# Paths are relative to this file. Dates are YYYY-MM-DD, months YYYY-MM. A crop year is named by its harvest.\n";

bool is_number(std::string_view text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  return error == std::errc() && end == text.data() + text.size();
}

std::string range_of(double min, double max) {
  if (std::isnan(min)) return "";
  return fmt::format("{} to {}", min, max);
}

// The default as TOML would hold it; what has no default is left open.
std::string toml_default(const FieldSpec& field) {
  if (is_number(field.fallback)) return std::string(field.fallback);
  const bool word = field.kind == FieldKind::words || field.kind == FieldKind::month_day ||
                    (field.kind == FieldKind::text && field.fallback.find(' ') == std::string_view::npos);
  if (word && field.fallback != "none" && field.fallback != "required") return fmt::format("\"{}\"", field.fallback);
  if (field.name.starts_with("tables.")) return fmt::format("\"{}.csv\"", field.name.substr(7));
  if (field.kind == FieldKind::text || field.kind == FieldKind::path || field.kind == FieldKind::words) return "\"...\"";
  return field.kind == FieldKind::text_list ? "[\"...\"]" : "...";
}

std::string section_of(std::string_view name) {
  const auto dot = name.rfind('.');
  return dot == std::string_view::npos ? "" : std::string(name.substr(0, dot));
}

std::string section_header(const std::string& section, bool set) {
  const bool repeated = section == "case" || section == "share_limit";
  const std::string name = section == "rasters.*" ? "rasters.rain" : section;
  std::string text = fmt::format("\n{}{}{}{}\n", set ? "" : "#: ", repeated ? "[[" : "[", name, repeated ? "]]" : "]");
  if (section == "rasters.*") {
    text += "# also:";
    for (const auto raster : raster_names())
      if (raster != "rain") text += fmt::format(" {}", raster);
    text += "\n";
  }
  return text;
}

bool any_set(const std::string& section) {
  if (section == "risk") return true;  // its unmet_price has no default and is the user's to state
  return std::any_of(kSet.begin(), kSet.end(), [&](const auto& entry) { return section_of(entry.first) == section; });
}

void write_key(std::string& text, const FieldSpec& field) {
  const std::string section = section_of(field.name);
  const std::string key(section.empty() ? field.name : field.name.substr(section.size() + 1));
  const std::string range = range_of(field.min, field.max);
  text += fmt::format("# {}: {}\n#   unit: {}; {}default: {}; {}: {}\n", key == "*" ? "any name" : key, field.meaning, field.unit,
                      range.empty() ? "" : "range: " + range + "; ", field.fallback, field.status, field.source);
  if (key == "*") return;
  const auto set = kSet.find(field.name);
  text += set != kSet.end() ? fmt::format("{} = {}\n", key, set->second) : fmt::format("#: {} = {}\n", key, toml_default(field));
}

// For a cell of a Markdown table.
std::string in_cell(std::string_view text) {
  std::string out;
  for (const char c : text) out += c == '|' ? std::string("\\|") : std::string(1, c);
  return out;
}

constexpr std::string_view kColumns = "| name | unit | range | default | status | source | meaning |\n|---|---|---|---|---|---|---|\n";

void write_line(std::string& text, std::string_view name, std::string_view unit, const std::string& range, std::string_view fallback,
                std::string_view status, std::string_view source, std::string_view meaning) {
  text += fmt::format("| `{}` | {} | {} | {} | {} | {} | {} |\n", in_cell(name), in_cell(unit), range, in_cell(fallback), status,
                      in_cell(source), in_cell(meaning));
}

void write_fields(std::string& text, std::string_view table) {
  text += kColumns;
  for (const FieldSpec& field : fields_of(table))
    write_line(text, field.name, field.unit, range_of(field.min, field.max), field.fallback, field.status, field.source, field.meaning);
}

// Creates a file that must not exist; false where it cannot be written whole.
bool write_new(const fs::path& path, const std::string& text) {
  std::FILE* file = std::fopen(path.c_str(), "wxb");
  if (file == nullptr) return false;
  const bool written = std::fwrite(text.data(), 1, text.size(), file) == text.size();
  return (std::fclose(file) == 0) && written;
}

}  // namespace

std::string season_toml_template() {
  std::string text(kHead), section;
  text += "\n";
  for (const FieldSpec& field : fields_of("season")) {
    if (section_of(field.name) != section) {
      section = section_of(field.name);
      text += section_header(section, any_set(section));
    }
    write_key(text, field);
  }
  return text;
}

std::string columns_reference() {
  std::string text =
      "# Columns, keys and parameters of a season\n\n"
      "Required names have no default. Every other may be left out; the plan lists each default it used.\n"
      "Status: *seen* read in public material; *memory* from memory, a placeholder; *practice* trade habit; *derived* computed from other "
      "figures;\n"
      "*judgement* chosen here so that the tool can run; *placeholder* to be replaced; *given* only the user can know it.\n"
      "Tonnes are at 14.5 % moisture, nitrogen is per cent of dry matter, fractions lie between 0 and 1, per cent between 0 and 100.\n"
      "Tables are CSV (UTF-8, comma, decimal point) or sheets of an XLSX or ODS book; an empty cell means not given.\n";
  for (const auto table : table_names()) {
    const bool required = std::any_of(fields_of("season").begin(), fields_of("season").end(),
                                      [&](const FieldSpec& f) { return f.name == "tables." + std::string(table) && f.required(); });
    text += fmt::format("\n## Table {} ({}): one row for each {}\n\n", table, required ? "required" : "optional", row_meaning(table));
    write_fields(text, table);
  }
  text += "\n## Keys of season.toml\n\n";
  write_fields(text, "season");
  text += "\n## Names under [parameters]\n\n";
  text += kColumns;
  for (const ParameterSpec& p : all_parameters())
    write_line(text, p.name, p.unit, range_of(p.min, p.max), fmt::format("{}", p.fallback), p.status, p.source, p.meaning);
  return text;
}

void write_season_template(const fs::path& dir) {
  std::vector<std::pair<fs::path, std::string>> files = {{dir / "season.toml", season_toml_template()},
                                                         {dir / "COLUMNS.md", columns_reference()}};
  for (const auto& [table, header] : kShortTables) files.emplace_back(dir / (std::string(table) + ".csv"), std::string(header));
  std::error_code failed;
  fs::create_directories(dir, failed);
  for (const auto& [path, text] : files)
    if (fs::exists(fs::symlink_status(path, failed)))
      throw OutputError(path.string() + " exists already; nothing was written. Name another folder");
  for (std::size_t i = 0; i < files.size(); ++i) {
    if (write_new(files[i].first, files[i].second)) continue;
    const std::string why = std::strerror(errno);
    for (std::size_t k = 0; k < i; ++k) fs::remove(files[k].first, failed);
    throw OutputError(files[i].first.string() + " cannot be written: " + why);
  }
}

}  // namespace rickyard
