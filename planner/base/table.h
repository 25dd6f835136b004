#pragma once
// A table of results on its way to a CSV file or a sheet.
#include <string>
#include <variant>
#include <vector>

#include "planner/base/calendar.h"

namespace rickyard {

/// Empty, text, whole number, number, date or month.
using Cell = std::variant<std::monostate, std::string, long long, double, Date, Month>;

struct Table {
  std::string name;                  // file stem and sheet name, e.g. "blend_by_month"
  std::vector<std::string> columns;  // with units
  std::vector<std::vector<Cell>> rows;
  std::vector<int> decimals = {};  // by column, 0..15: how numbers are rounded when written; empty: 6 everywhere
};

}  // namespace rickyard
