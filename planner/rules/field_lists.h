#pragma once
// The lists behind season_fields; only season_fields.cpp and the list files use this header.
#include <limits>
#include <span>

#include "planner/rules/season_fields.h"

namespace rickyard::field_lists {

/// No bound given.
inline constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

// Short forms for the rows of the lists.
constexpr FieldSpec of_kind(FieldKind kind, std::string_view table, std::string_view name, std::string_view unit, std::string_view fallback,
                            std::string_view status, std::string_view source, std::string_view meaning) {
  return {table, name, kind, unit, kNone, kNone, fallback, status, source, meaning};
}
constexpr FieldSpec text(std::string_view table, std::string_view name, std::string_view fallback, std::string_view status,
                         std::string_view source, std::string_view meaning) {
  return of_kind(FieldKind::text, table, name, "text", fallback, status, source, meaning);
}
constexpr FieldSpec date(std::string_view table, std::string_view name, std::string_view fallback, std::string_view status,
                         std::string_view source, std::string_view meaning) {
  return of_kind(FieldKind::date, table, name, "date YYYY-MM-DD", fallback, status, source, meaning);
}
constexpr FieldSpec month(std::string_view table, std::string_view name, std::string_view fallback, std::string_view status,
                          std::string_view source, std::string_view meaning) {
  return of_kind(FieldKind::month, table, name, "month YYYY-MM", fallback, status, source, meaning);
}
constexpr FieldSpec words(std::string_view table, std::string_view name, std::string_view choices, std::string_view fallback,
                          std::string_view status, std::string_view source, std::string_view meaning) {
  return of_kind(FieldKind::words, table, name, choices, fallback, status, source, meaning);
}
constexpr FieldSpec number(std::string_view table, std::string_view name, std::string_view unit, double min, double max,
                           std::string_view fallback, std::string_view status, std::string_view source, std::string_view meaning) {
  return {table, name, FieldKind::number, unit, min, max, fallback, status, source, meaning};
}
constexpr FieldSpec whole(std::string_view table, std::string_view name, std::string_view unit, double min, double max,
                          std::string_view fallback, std::string_view status, std::string_view source, std::string_view meaning) {
  return {table, name, FieldKind::whole, unit, min, max, fallback, status, source, meaning};
}
constexpr FieldSpec text_list(std::string_view table, std::string_view name, std::string_view meaning) {
  return of_kind(FieldKind::text_list, table, name, "list a;b", "none", "given", "the user's own figure", meaning);
}

inline constexpr std::string_view kOwn = "the user's own figure";
inline constexpr std::string_view kHabit = "trade habit";
inline constexpr std::string_view kRun = "chosen so that the tool can run";
inline constexpr std::string_view kSeason = "follows from the season file";

std::span<const FieldSpec> contracts();
std::span<const FieldSpec> backups();
std::span<const FieldSpec> demand();
std::span<const FieldSpec> stock();
std::span<const FieldSpec> stores();
std::span<const FieldSpec> maltings();
std::span<const FieldSpec> prices();
std::span<const FieldSpec> outlets();
std::span<const FieldSpec> varieties();
std::span<const FieldSpec> history();
std::span<const FieldSpec> keys();

}  // namespace rickyard::field_lists
