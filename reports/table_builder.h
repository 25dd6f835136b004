#pragma once
// Builds a Table column by column, so that a name, its rounding and its value stand on one line.
#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "planner/base/range.h"
#include "planner/base/table.h"
#include "planner/document/plan_document.h"

namespace rickyard {

inline constexpr int kTableDecimals = 6;   // figures with a unit
inline constexpr int kTableFractions = 9;  // shares, chances, weights, factors
inline constexpr int kAuditDecimals = 9;   // audit tables: sums of many rows must still agree to 1e-6
inline constexpr int kAuditWeights = 15;   // weights of audit tables

/// One row on its way into a table. The first row of a table also writes the header, so names and values cannot part.
class RowBuilder {
 public:
  RowBuilder(Table& table, bool header_only) : table_(table), first_(table.columns.empty()), header_only_(header_only) {}
  ~RowBuilder() {
    if (!header_only_) table_.rows.push_back(std::move(cells_));
  }
  RowBuilder(const RowBuilder&) = delete;
  RowBuilder& operator=(const RowBuilder&) = delete;

  RowBuilder& cell(std::string_view name, Cell value, int decimals = kTableDecimals) {
    if (first_) {
      table_.columns.emplace_back(name);
      table_.decimals.push_back(decimals);
    }
    cells_.push_back(std::move(value));
    return *this;
  }
  RowBuilder& text(std::string_view name, std::string value) { return cell(name, std::move(value)); }
  RowBuilder& whole(std::string_view name, long long value) { return cell(name, value); }
  RowBuilder& month(std::string_view name, const Month& value) { return cell(name, value); }
  RowBuilder& date(std::string_view name, const std::optional<Date>& value) {
    return cell(name, value && !value->is_special() ? Cell{*value} : Cell{});
  }
  /// NaN, the document's word for undefined, becomes an empty cell.
  RowBuilder& number(std::string_view name, double value, int decimals = kTableDecimals) {
    return cell(name, std::isnan(value) ? Cell{} : Cell{value}, decimals);
  }
  RowBuilder& range(const std::string& name, const Range& r, int decimals = kTableDecimals) {
    return number(name + "_mean", r.mean, decimals)
        .number(name + "_p10", r.p10, decimals)
        .number(name + "_p50", r.p50, decimals)
        .number(name + "_p90", r.p90, decimals);
  }
  RowBuilder& dates(const std::string& name, const DateRange& r) {
    return date(name + "_p10", r.p10).date(name + "_p50", r.p50).date(name + "_p90", r.p90);
  }

 private:
  Table& table_;
  bool first_, header_only_;
  std::vector<Cell> cells_;
};

/// A table with one row for each item. fill(row, item) names and fills the cells; without items the header comes from a
/// default item, so that an empty table still says what it would hold.
template <class Items, class Fill>
Table table_of(std::string name, const Items& items, Fill fill) {
  Table table{std::move(name), {}, {}, {}};
  for (const auto& item : items) {
    RowBuilder row(table, false);
    fill(row, item);
  }
  if (table.columns.empty()) {
    RowBuilder row(table, true);
    fill(row, typename Items::value_type{});
  }
  return table;
}

}  // namespace rickyard
