#include "io/table_writer.h"

#include <array>
#include <charconv>
#include <cmath>
#include <stdexcept>

#include "io/rounding.h"
#include "io/table_writer_cells.h"

namespace rickyard {
void append_field(std::string& out, const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) {
    out += text;
    return;
  }
  out += '"';
  for (char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  out += '"';
}

std::string without_formula(std::string_view text) {
  constexpr std::string_view starters = "=+-@\t\r\n";
  const bool risky = !text.empty() && starters.find(text.front()) != std::string_view::npos;
  return (risky ? "'" : "") + std::string(text);
}

std::string figure_text(double value, int decimals) {
  const double figure = rounded(value, decimals);
  std::array<char, 64> buffer{};
  // Fixed notation where it stays short; a double past 1e15 holds no decimals worth writing out.
  const auto format = std::fabs(figure) < 1e15 ? std::chars_format::fixed : std::chars_format::scientific;
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), figure, format).ptr;
  return {buffer.data(), end};
}

int column_decimals(const Table& table, std::size_t column) {
  return column < table.decimals.size() ? table.decimals[column] : kFigureDecimals;
}

void check_shape(const Table& table) {
  for (std::size_t r = 0; r < table.rows.size(); ++r) {
    if (table.rows[r].size() != table.columns.size())
      throw std::logic_error("table " + table.name + ": row " + std::to_string(r) + " has " + std::to_string(table.rows[r].size()) +
                             " cells for " + std::to_string(table.columns.size()) + " columns");
    for (std::size_t c = 0; c < table.columns.size(); ++c) {
      const auto* number = std::get_if<double>(&table.rows[r][c]);
      if (number && !std::isfinite(*number))
        throw std::logic_error("table " + table.name + ": row " + std::to_string(r) + ", column " + table.columns[c] +
                               ": not a finite number");
    }
  }
}

std::string cell_text(const Cell& cell, int decimals) {
  struct Text {
    int places;
    std::string operator()(std::monostate) const { return {}; }
    std::string operator()(const std::string& text) const { return without_formula(text); }
    std::string operator()(long long number) const { return std::to_string(number); }
    std::string operator()(double number) const { return figure_text(number, places); }
    std::string operator()(const Date& date) const { return to_text(date); }
    std::string operator()(const Month& month) const { return to_text(month); }
  };
  return std::visit(Text{decimals}, cell);
}

std::string to_csv(const Table& table) {
  check_shape(table);
  std::string out;
  for (std::size_t c = 0; c < table.columns.size(); ++c) {
    if (c > 0) out += ',';
    append_field(out, without_formula(table.columns[c]));
  }
  out += "\r\n";
  for (const auto& row : table.rows) {
    for (std::size_t c = 0; c < row.size(); ++c) {
      if (c > 0) out += ',';
      append_field(out, cell_text(row[c], column_decimals(table, c)));
    }
    out += "\r\n";
  }
  return out;
}

}  // namespace rickyard
