#include "io/season_tables.h"

#include <fmt/format.h>

#include <algorithm>

#include "io/season_cells.h"
#include "planner/rules/season_defaults.h"
#include "planner/rules/season_visit.h"

namespace rickyard {
namespace {

using Absent = std::map<std::string, int>;  // column -> rows without a value

// Gives each field of one row its cell.
class RowReader {
 public:
  RowReader(const RawTable& raw, const RawRow& row, std::string_view table, TableMap& map, ProblemList& problems, Absent& absent)
      : raw_(raw), row_(row), table_(table), map_(map), problems_(problems), absent_(absent) {}

  void operator()(std::string_view name, std::string& out) { out = cell(name); }
  void operator()(std::string_view name, std::optional<double>& out) { take(name, out, parse_number); }
  void operator()(std::string_view name, double& out) { take(name, out, parse_number); }
  void operator()(std::string_view name, std::optional<int>& out) { take(name, out, parse_whole); }
  void operator()(std::string_view name, int& out) { take(name, out, parse_whole); }
  void operator()(std::string_view name, std::optional<Date>& out) {
    take(name, out, [this](std::string_view t) { return parse_day(t, raw_.sheet); });
  }
  void operator()(std::string_view name, std::optional<Month>& out) {
    take(name, out, [this](std::string_view t) { return parse_plan_month(t, raw_.sheet); });
    note_absent(name);
  }
  void operator()(std::string_view name, Month& out) {
    take(name, out, [this](std::string_view t) { return parse_plan_month(t, raw_.sheet); });
  }
  void operator()(std::string_view name, std::vector<std::string>& out) { take(name, out, parse_list); }
  void operator()(std::string_view name, std::array<bool, 12>& out) { take(name, out, parse_months); }
  void operator()(std::string_view name, bool& out) {
    take(name, out, parse_yes_no);
    note_absent(name);
  }
  template <class Enum>
  requires std::is_enum_v<Enum>
  void operator()(std::string_view name, Enum& out) {
    take(name, out, parse_word<Enum>);
    if (name != "min_take_kind") note_absent(name);
  }

  /// The text of a cell; empty where the column or the text is missing. A required cell that is empty is a fault.
  std::string_view cell(std::string_view name) {
    const auto found = map_.column.find(std::string(name));
    if (found == map_.column.end()) return {};
    const std::string& text = row_.cells[static_cast<std::size_t>(found->second) - 1];
    if (!text.empty()) map_.filled.emplace(row_.number, name);
    const FieldSpec* field = find_field(table_, name);
    if (text.empty() && field->required()) fault(name, "", {"the cell is empty", fmt::format("fill it in: {}", field->meaning)});
    return text;
  }
  void fault(std::string_view name, std::string_view value, const Fault& fault) {
    const auto found = map_.column.find(std::string(name));
    problems_.error({map_.file, row_.number, found == map_.column.end() ? 0 : found->second, std::string(name)}, value, fault.message,
                    fault.remedy);
  }
  void note_absent(std::string_view name) {
    const auto found = map_.column.find(std::string(name));
    if (found == map_.column.end() || row_.cells[static_cast<std::size_t>(found->second) - 1].empty()) ++absent_[std::string(name)];
  }

  template <class T, class Parse>
  void take(std::string_view name, T& out, Parse parse) {
    const std::string_view text = cell(name);
    if (text.empty()) return;
    auto parsed = parse(text);
    if (parsed.value)
      out = *parsed.value;
    else
      fault(name, text, parsed.fault);
  }

 private:
  const RawTable& raw_;
  const RawRow& row_;
  std::string_view table_;
  TableMap& map_;
  ProblemList& problems_;
  Absent& absent_;
};

// Columns that are more than one cell.
template <class Row>
void read_special(Row&, RowReader&) {}

void read_special(BackupRow& row, RowReader& read) {
  row.months_available.fill(true);
  read("months", row.months_available);
  read.note_absent("months");
}

void read_special(ContractRow& row, RowReader& read) {
  std::array<double, 12> shares{};
  bool any = false;
  for (std::size_t m = 0; m < 12; ++m) {
    std::optional<double> share;
    read(fmt::format("delivery_{}", kMonthWords[m]), share);
    any = any || share.has_value();
    shares[m] = share.value_or(0);
  }
  const std::string_view call_off = read.cell("call_off");
  if (!call_off.empty() && call_off != "buyer")
    read.fault("call_off", call_off, {"the word is not known here", "write buyer, or leave the cell empty"});
  if (any && call_off == "buyer")
    read.fault("call_off", call_off,
               {"the row has delivery shares and leaves the call to the buyer", "give delivery shares or call_off, not both"});
  if (any) row.delivery_share = shares;
  if (!any && call_off.empty()) read.note_absent("call_off");
}

void read_special(DemandRow& row, RowReader& read) {
  int given = 0;
  for (const auto& unit : words_of<NeedUnit>()) {
    const std::string_view text = read.cell(unit.text);
    if (text.empty()) continue;
    ++given;
    row.unit = unit.value;
    double amount = 0;
    read(unit.text, amount);
    row.amount = amount;
    if (given == 2)
      read.fault(unit.text, text, {"the row gives its amount in two units", "fill exactly one of spirit_lpa, malt_t and barley_t"});
  }
  if (given == 0) read.fault("spirit_lpa", "", {"the row has no amount", "fill exactly one of spirit_lpa, malt_t and barley_t"});
}

std::vector<std::string_view> column_names(std::string_view table) {
  std::vector<std::string_view> names;
  for (const FieldSpec& field : fields_of(table)) names.push_back(field.name);
  return names;
}

// One of the columns must be there; the reader of rows then says which cell is empty.
void need_one_of(std::string_view table, std::initializer_list<std::string_view> columns, TableMap& map, ProblemList& problems) {
  const std::vector<std::string_view> names(columns);
  if (std::any_of(names.begin(), names.end(), [&](std::string_view name) { return map.column.contains(std::string(name)); })) return;
  problems.error({map.file, 1, 0, std::string(names.front())}, "", "the column is missing",
                 fmt::format("add the column {}", listed(names)));
  map.unread = true;
  static_cast<void>(table);
}

TableMap read_header(const RawTable& raw, std::string_view table, ProblemList& problems) {
  TableMap map;
  map.file = raw.place;
  const auto names = column_names(table);
  for (std::size_t c = 0; c < raw.header.size(); ++c) {
    const std::string& name = raw.header[c];
    const Place place{raw.place, 1, static_cast<int>(c) + 1, name};
    if (name.empty()) {
      problems.error(place, "", "the column has no name", "name it, or remove the column");
    } else if (std::find(names.begin(), names.end(), name) == names.end()) {
      const std::string near = did_you_mean(name, names);
      problems.error(place, "", "the column is not known",
                     near.empty() ? fmt::format("remove it; COLUMNS.md lists the columns of {}", table) : near);
    } else if (!map.column.emplace(name, static_cast<int>(c) + 1).second) {
      problems.error(place, "", "the column is there twice", "keep one of them");
    }
  }
  for (const FieldSpec& field : fields_of(table)) {
    if (!field.required() || map.column.contains(std::string(field.name))) continue;
    problems.error({raw.place, 1, 0, std::string(field.name)}, "", "the column is missing",
                   fmt::format("add the column {} ({})", field.name, field.meaning));
    map.unread = true;
  }
  if (table == "contracts") need_one_of(table, {"planted_ha", "contracted_t"}, map, problems);
  if (table == "demand") need_one_of(table, {"spirit_lpa", "malt_t", "barley_t"}, map, problems);
  return map;
}

template <class Row>
void read_into(std::vector<Row>& rows, const RawTable& raw, std::string_view table, TableMap& map, ProblemList& problems, Absent& absent) {
  for (const RawRow& raw_row : raw.rows) {
    Row row;
    row.at = {raw.place, raw_row.number};
    RowReader read(raw, raw_row, table, map, problems, absent);
    visit_fields(row, read);
    read_special(row, read);
    rows.push_back(std::move(row));
  }
}

}  // namespace

TableMap read_rows(const RawTable& raw, std::string_view name, Season& season, ProblemList& problems) {
  TableMap map = read_header(raw, name, problems);
  Absent absent;
  visit_tables(season, [&](std::string_view table, auto& rows) {
    if (table == name) read_into(rows, raw, name, map, problems, absent);
  });
  for (const auto& [column, rows] : absent)
    if (find_field(name, column)->status != "given") record_default(season, name, column, find_field(name, column)->fallback, rows);
  map.unread = map.unread || raw.faulty_rows > 0;
  if (raw.rows.empty() && raw.faulty_rows == 0) {
    const Severity severity = name == "contracts" || name == "demand" ? Severity::error : Severity::warning;
    problems.add(severity, {raw.place, 1, 0, ""}, "", "the table has no rows",
                 fmt::format("fill in one row for each {}, or take the table out of season.toml", row_meaning(name)));
    map.unread = true;
  }
  return map;
}

}  // namespace rickyard
