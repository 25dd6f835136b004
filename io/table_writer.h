#pragma once
// Any table as CSV text or as a sheet of a workbook. Figures are rounded here and nowhere else.
#include <filesystem>
#include <span>
#include <string>
#include <string_view>

#include "planner/base/table.h"

namespace rickyard {

/// Text as it may stand in a spreadsheet: one that starts with = + - @, a tab or a line break would be run as a formula
/// by some programs, so it gets an apostrophe in front. Everything else is unchanged.
std::string without_formula(std::string_view text);

/// A number as every table writes it: rounded to 10^-decimals, shortest text that reads back the same, never an exponent
/// for ordinary figures, never -0.
std::string figure_text(double value, int decimals);

/// RFC 4180: UTF-8, comma, CRLF, header line always, fields quoted where they must be. Empty cells are empty fields.
/// Numbers are rounded to Table::decimals of their column. Dates YYYY-MM-DD, months YYYY-MM.
/// Throws std::logic_error naming table, row and column where a number is not finite or a row has another length.
std::string to_csv(const Table& table);

/// One workbook with a sheet for each table, a header row in each, also where a table has no rows. A column that holds
/// numbers only is a number column; any other is text, dates as in the CSV. The same tables give the same bytes.
/// Throws OutputError naming the path; std::logic_error as to_csv does and for a name that no sheet can have.
void write_xlsx(const std::filesystem::path& path, std::span<const Table> tables);

}  // namespace rickyard
