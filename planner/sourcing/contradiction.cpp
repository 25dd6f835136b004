#include "planner/sourcing/contradiction.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace rickyard {
namespace {

// In the order in which they are named when several are broken by as much.
bool may_be_broken(RuleKind kind) {
  return kind == RuleKind::store || kind == RuleKind::intake || kind == RuleKind::drying || kind == RuleKind::outlet ||
         kind == RuleKind::min_take || kind == RuleKind::season_cap || kind == RuleKind::variety;
}

std::string rule_words(const ProgrammeTerms& terms, const ProgrammeRow& row) {
  const auto index = static_cast<std::size_t>(std::max(row.index, 0));
  switch (row.kind) {
    case RuleKind::store:
      return "grain that must be taken exceeds the room in store and what can be sold";
    case RuleKind::intake:
      return "grain that must be taken exceeds the intake";
    case RuleKind::drying:
      return "grain that must be taken exceeds the drying";
    case RuleKind::outlet:
      return "grain that must be sold exceeds what outlet " + terms.outlets[index].name + " takes";
    case RuleKind::min_take:
      return "the minimum take of " + terms.season.backups[index].source + " exceeds what it can deliver or the plan can hold";
    case RuleKind::season_cap:
      return "orders from " + terms.season.backups[index].source + " exceed its season";
    case RuleKind::variety:
      return "the cap of variety " + terms.season.varieties[index].variety + " cannot be kept by the hectares that are signed";
    default:
      return "a rule";
  }
}

}  // namespace

std::string explain_contradiction(const ProgrammeTerms& terms, const Programme& programme) {
  TwoStage plain = programme.problem;
  plain.lambda = 0;  // no tail rows: the rows of the whole are those of the programme, in order
  LpProblem elastic = extensive_form(plain).lp;
  const int rows = elastic.rows();
  std::fill(elastic.cost.begin(), elastic.cost.end(), 0.0);
  std::vector<std::pair<int, int>> slack;  // (row, column)
  for (int i = 0; i < rows; ++i) {
    const auto at = static_cast<std::size_t>(i);
    if (!may_be_broken(programme.rows[at].kind)) continue;
    const int column = elastic.add_column(0, kNoBound, 1, "slack." + std::to_string(i));
    elastic.add(i, column, std::isinf(elastic.row_upper[at]) ? 1 : -1);
    slack.emplace_back(i, column);
  }
  const auto solution = solve_in_order(elastic, {});
  if (solution.status != LpStatus::optimal) return "the rules contradict each other in a way that no single limit explains";
  // The scenario of the largest breach speaks for all.
  const ProgrammeRow* worst = nullptr;
  double most = 0;
  for (const auto& [row, column] : slack) {
    const double broken = solution.value[static_cast<std::size_t>(column)];
    if (broken <= most + 1e-6) continue;
    most = broken;
    worst = &programme.rows[static_cast<std::size_t>(row)];
  }
  if (!worst) return "the rules contradict each other by less than a kilogram";
  const std::string when = worst->month >= 0 ? to_text(terms.month(worst->month)) : "the season";
  const std::string year =
      worst->scenario >= 0
          ? " (weather year " +
                std::to_string(terms.supply.years[static_cast<std::size_t>(
                    terms.supply.scenarios[static_cast<std::size_t>(terms.scenario_of[static_cast<std::size_t>(worst->scenario)])].year)]) +
                ")"
          : "";
  return rule_words(terms, *worst) + " in " + when + " by " + std::to_string(std::max(1L, std::lround(most))) + " t" + year;
}

}  // namespace rickyard
