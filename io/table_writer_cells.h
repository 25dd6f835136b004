#pragma once
// Shared by the CSV and the workbook writer: the text of one cell and the shape of a table.
#include <string>

#include "planner/base/table.h"

namespace rickyard {

/// A field of a CSV line, quoted where it must be.
void append_field(std::string& out, const std::string& text);
std::string cell_text(const Cell& cell, int decimals);
int column_decimals(const Table& table, std::size_t column);
/// Throws std::logic_error where a row has another length than the header or a number is not finite.
void check_shape(const Table& table);

}  // namespace rickyard
