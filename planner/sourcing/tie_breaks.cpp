// The best use of a year, given the first stage, ties: the objectives that choose one of them, in this order.
#include <algorithm>
#include <numeric>

#include "planner/base/draws.h"
#include "planner/sourcing/programme.h"

namespace rickyard {
namespace {

using std::size_t;

// Position of every line when claim lines come first, then by priority, then in table order.
std::vector<int> line_order(const std::vector<LineTerms>& lines) {
  std::vector<size_t> order(lines.size());
  std::iota(order.begin(), order.end(), size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](size_t a, size_t b) {
    const bool claim_a = !lines[a].origin_rule.empty(), claim_b = !lines[b].origin_rule.empty();
    return claim_a != claim_b ? claim_a : lines[a].priority < lines[b].priority;
  });
  std::vector<int> position(lines.size());
  for (size_t i = 0; i < order.size(); ++i) position[order[i]] = static_cast<int>(i);
  return position;
}

// Least unmet need of the first line, then of the next; inside a line, early months weigh more.
double unmet_weight(const ProgrammeTerms& terms, const std::vector<int>& position, const ProgrammeColumn& c) {
  if (c.kind != ColumnKind::unmet) return 0;
  const auto lines = static_cast<int>(terms.lines.size());
  return 2.0 * (lines - position[static_cast<size_t>(c.line)]) + static_cast<double>(terms.months - c.month) / terms.months;
}

// Old crop first, then the order of heaps, months and lines; in thousands so that the smallest step is 0.001.
double order_weight(const ProgrammeTerms& terms, const ProgrammeColumn& c) {
  int heap = c.heap, line = std::max(c.line, 0);
  if (c.kind == ColumnKind::purchase) {
    heap = terms.backups[static_cast<size_t>(c.heap)].heap[static_cast<size_t>(c.month)];
    line = 0;
  } else if (c.kind != ColumnKind::flow) {
    return 0;
  }
  return 1000.0 * terms.heaps[static_cast<size_t>(heap)].rank + c.month + 0.001 * line;
}

// A fixed draw for each decision: no two sums of them are equal, so the answer is unique. Stocks follow from the rest.
double generic_weight(const ProgrammeColumn& c) {
  if (c.kind == ColumnKind::stock) return 0;
  const auto word = [](int i) { return static_cast<std::uint32_t>(i + 1); };
  return uniform_draw(0, DrawPurpose::tie_break,
                      {word(c.scenario), word(c.month), word(c.heap), 64 * static_cast<std::uint32_t>(c.kind) + word(c.line)});
}

}  // namespace

std::vector<std::vector<double>> tie_breaks(const ProgrammeTerms& terms, const Programme& programme) {
  const auto position = line_order(terms.lines);
  std::vector<std::vector<double>> stages(3);
  for (std::size_t j = static_cast<std::size_t>(programme.first_columns()); j < programme.columns.size(); ++j) {
    const auto& column = programme.columns[j];
    stages[0].push_back(unmet_weight(terms, position, column));
    stages[1].push_back(order_weight(terms, column));
    stages[2].push_back(generic_weight(column));
  }
  return stages;
}

}  // namespace rickyard
