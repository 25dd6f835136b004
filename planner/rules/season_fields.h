#pragma once
// The reference of every table column and every key of season.toml: unit, bounds, default, status, source, meaning.
// The reader accepts exactly these names, the defaults and bounds are read from here, the templates print them.
#include <limits>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace rickyard {

enum class FieldKind { text, number, whole, date, month, month_day, words, yes_no, text_list, month_list, path, twelve };

/// One column ("contracts", "harvested_share") or one key ("season", "spec.limit_n_pct").
/// In keys, `*` stands for any raster name; "case.", "share_limit." are the repeated tables [[case]], [[share_limit]].
struct FieldSpec {
  std::string_view table, name;
  FieldKind kind = FieldKind::text;
  std::string_view unit;  // "1" for a pure number; "text", "date", ... where there is no unit
  double min = std::numeric_limits<double>::quiet_NaN(), max = std::numeric_limits<double>::quiet_NaN();  // inclusive; NaN: no bound
  std::string_view fallback;  // a number, a word, "required", "none", or a phrase ("the region"); "parameter NAME"
  std::string_view status;    // seen, memory, practice, derived, judgement, placeholder; "given" where only the user can know
  std::string_view source;
  std::string_view meaning;
  bool required() const { return fallback == "required"; }
};

/// Names of the ten tables, in reading order.
std::span<const std::string_view> table_names();
/// What one row of a table stands for.
std::string_view row_meaning(std::string_view table);
/// Columns of a table in the order of the templates, or all keys for "season". Empty for an unknown table.
std::span<const FieldSpec> fields_of(std::string_view table);
/// The spec of a column or key; nullptr for an unknown one. A raster key is looked up with its name ("rasters.rain.unit").
const FieldSpec* find_field(std::string_view table, std::string_view name);
/// The default of a field as a number; asserts when the fallback is not a number.
double number_fallback(std::string_view table, std::string_view name);
/// The raster names that season.toml may use.
std::span<const std::string_view> raster_names();

}  // namespace rickyard
