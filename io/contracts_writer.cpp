#include "io/contracts_writer.h"

#include <algorithm>
#include <optional>

#include "io/season_cells.h"
#include "io/table_writer.h"
#include "io/table_writer_cells.h"

namespace rickyard {
namespace {

constexpr int kAmountDecimals = 4;

// What is written in a cell of a row at another amount; nothing: the text stays.
std::optional<double> new_amount(const std::string& column, const std::string& text, const ContractRow& row) {
  const bool tonnage = row.form == ContractForm::tonnage;
  if (column == "contracted_t" && tonnage) return row.contracted_t;
  if (column == "planted_ha" && (!tonnage || !text.empty())) return row.planted_ha;
  if (column == "declared_ha" && !text.empty()) return row.declared_ha;
  return std::nullopt;
}

std::string cell(const RawTable& table, std::size_t column, const std::string& text, const ContractRow* changed) {
  if (changed)
    if (const auto amount = new_amount(table.header[column], text, *changed)) return figure_text(*amount, kAmountDecimals);
  if (table.sheet && text.find('/') != std::string::npos)
    if (const auto day = parse_day(text, true); day.value) return to_text(*day.value);
  return text;
}

void append_line(std::string& out, const std::vector<std::string>& cells) {
  for (std::size_t c = 0; c < cells.size(); ++c) {
    if (c > 0) out += ',';
    append_field(out, cells[c]);
  }
  out += "\r\n";
}

}  // namespace

std::string contracts_csv(const RawTable& table, const std::vector<ContractRow>& contracts, const std::vector<char>& changed) {
  std::string out;
  append_line(out, table.header);
  for (const auto& row : table.rows) {
    const auto found = std::find_if(contracts.begin(), contracts.end(), [&](const ContractRow& c) { return c.at.row == row.number; });
    const auto index = static_cast<std::size_t>(found - contracts.begin());
    const ContractRow* contract = found != contracts.end() && changed[index] ? &*found : nullptr;
    std::vector<std::string> cells;
    for (std::size_t c = 0; c < row.cells.size(); ++c) cells.push_back(cell(table, c, row.cells[c], contract));
    append_line(out, cells);
  }
  return out;
}

}  // namespace rickyard
