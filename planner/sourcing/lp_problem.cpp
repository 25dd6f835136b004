#include "planner/sourcing/lp_problem.h"

#include <cassert>
#include <utility>

namespace rickyard {

int LpProblem::add_row(double lower, double upper, std::string name) {
  assert(lower <= upper);
  row_lower.push_back(lower);
  row_upper.push_back(upper);
  row_name.push_back(std::move(name));
  return rows() - 1;
}

int LpProblem::add_column(double lower, double upper, double unit_cost, std::string name) {
  assert(lower <= upper);
  column_lower.push_back(lower);
  column_upper.push_back(upper);
  cost.push_back(unit_cost);
  column_name.push_back(std::move(name));
  return columns() - 1;
}

void LpProblem::add(int row, int column, double value) {
  if (value != 0) entries.push_back({row, column, value});
}

}  // namespace rickyard
