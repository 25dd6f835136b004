#pragma once
// What a check has to say: errors, warnings and notes that name a place and a remedy.
#include <string>
#include <vector>

namespace rickyard {

enum class Severity { error, warning, note };

/// A place inside a season, independent of files: `io` turns it into file, row and column.
///   table "contracts", row 2 (0-based position in the season's vector), field "yield_t_ha"; or
///   table "season", row -1, field "spec.limit_n_pct" (the dotted key of season.toml).
struct FieldPath {
  std::string table;
  int row = -1;
  std::string field;
};

struct Finding {
  Severity severity = Severity::error;
  FieldPath where;
  std::string value;    // as found; may be empty
  std::string message;  // what is wrong, one sentence without a full stop
  std::string remedy;   // what to do, one sentence without a full stop
};

using Findings = std::vector<Finding>;
inline bool has_error(const Findings& findings) {
  for (const auto& finding : findings)
    if (finding.severity == Severity::error) return true;
  return false;
}

}  // namespace rickyard
