#pragma once
// Rows of a raw table to rows of a Season.
#include <map>
#include <set>
#include <string>

#include "io/raw_table.h"
#include "planner/season/season.h"

namespace rickyard {

/// Where the columns of a table stand, to turn a FieldPath back into a place.
struct TableMap {
  std::string file;                              // "contracts.csv" or "book.xlsx[contracts]"
  std::map<std::string, int> column;             // 1-based
  std::set<std::pair<int, std::string>> filled;  // row number and column of every cell with text
  bool unread = false;                           // nothing or not everything could be read
};

/// Reads the rows of table `name` ("contracts", ...) into the season and adds every fault to `problems`.
/// Rows with a fault are kept, without the faulty value, so that later rows and rules still see them.
TableMap read_rows(const RawTable& raw, std::string_view name, Season& season, ProblemList& problems);

}  // namespace rickyard
