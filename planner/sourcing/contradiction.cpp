#include "planner/sourcing/contradiction.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include "planner/base/blocks.h"
#include "planner/sourcing/decomposition.h"

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

// A promise over all years: a row of the first stage that a buyer sets, not nature.
bool is_promise(RuleKind kind) { return kind == RuleKind::chance || kind == RuleKind::expected_unmet || kind == RuleKind::carbon; }

TwoStage without_costs(TwoStage problem) {
  problem.lambda = 0;
  std::fill(problem.first.cost.begin(), problem.first.cost.end(), 0.0);
  std::fill(problem.tie_cost.begin(), problem.tie_cost.end(), 0.0);
  std::fill(problem.integer.begin(), problem.integer.end(), char{0});
  for (auto& s : problem.scenarios) {
    std::fill(s.lp.cost.begin(), s.lp.cost.end(), 0.0);
    std::fill(s.first_cost.begin(), s.first_cost.end(), 0.0);
    s.fixed_cost = 0;
  }
  return problem;
}

// The least that the row of a promise can reach when it is all that counts, whole numbers loose.
std::optional<double> least(const TwoStage& free_of_promises, int row, int threads) {
  TwoStage alone = without_costs(free_of_promises);
  for (const auto& e : alone.first.entries)
    if (e.row == row) alone.first.cost[static_cast<std::size_t>(e.column)] = e.value;
  DecompositionOptions options;
  options.threads = threads;
  const auto answer = Decomposition(alone, options).solve();
  if (!answer.found) return {};
  return answer.objective;
}

// The weight of the scenarios that could be met if each were alone and known, whole numbers loose: no plan reaches more.
std::optional<double> chance_at_most(const Programme& programme, const TwoStage& free_of_promises, int threads) {
  const auto alone = without_costs(free_of_promises);
  std::vector<double> met(alone.scenarios.size(), 0);
  std::vector<char> solved(met.size(), 0);
  for_each_block(static_cast<int>(met.size()), threads, [&](int s) {
    const auto k = static_cast<std::size_t>(s);
    TwoStage one{alone.first, alone.integer, alone.tie_cost, {alone.scenarios[k]}, 0, alone.alpha};
    for (std::size_t j = 0; j < one.first.cost.size(); ++j)
      if (programme.columns[j].kind == ColumnKind::unmet_allowed && programme.columns[j].scenario == s) one.first.cost[j] = 1;
    const auto answer = solve_in_order(extensive_form(one).lp, {});
    solved[k] = answer.status == LpStatus::optimal;
    double need = 0;  // the most it could leave unmet
    for (std::size_t j = 0; j < one.first.cost.size(); ++j)
      if (one.first.cost[j] == 1) need = one.first.column_upper[j];
    if (solved[k] && answer.stage_objective[0] <= kCoveredShare * need + 1e-6) met[k] = alone.scenarios[k].weight;
  });
  if (!std::all_of(solved.begin(), solved.end(), [](char c) { return c != 0; })) return {};
  return std::accumulate(met.begin(), met.end(), 0.0);
}

std::string promise_words(RuleKind kind, double wanted, double reached) {
  switch (kind) {
    case RuleKind::chance:
      return fmt::format(
          "the need cannot be met with a chance of {:.3g} (risk.p): with everything on offer, and the year known, it is met with {:.3g}",
          wanted, reached);
    case RuleKind::expected_unmet:
      return fmt::format("unmet need cannot be held to {:.0f} t on average (risk.unmet_max_t): with everything on offer {:.0f} t remain",
                         wanted, reached);
    default:
      return fmt::format("the carbon of the grain cannot be held to {:.0f} t CO2e on average (risk.co2e_max_t): the least is {:.0f} t",
                         wanted, reached);
  }
}

// Empty where the rules contradict each other without the promises too.
std::string promise_out_of_reach(const ProgrammeTerms& terms, const Programme& programme, int threads) {
  const auto first_rows = static_cast<std::size_t>(programme.problem.first.rows());
  TwoStage free_of_promises = programme.problem;
  for (std::size_t i = 0; i < first_rows; ++i)
    if (is_promise(programme.rows[i].kind)) {
      free_of_promises.first.row_lower[i] = -kNoBound;
      free_of_promises.first.row_upper[i] = kNoBound;
    }
  const auto& risk = terms.season.risk;
  std::string together;
  for (std::size_t i = 0; i < first_rows; ++i) {
    const auto kind = programme.rows[i].kind;
    if (!is_promise(kind)) continue;
    const bool most = kind == RuleKind::chance;
    const auto reached =
        most ? chance_at_most(programme, free_of_promises, threads) : least(free_of_promises, static_cast<int>(i), threads);
    if (!reached) return {};
    const double wanted = most ? risk.p.value_or(0) : kind == RuleKind::carbon ? risk.co2e_max_t.value_or(0) : risk.unmet_max_t.value_or(0);
    if (most ? *reached < wanted - 1e-6 : *reached > wanted + 1e-6) return promise_words(kind, wanted, *reached);
    together =
        most ? fmt::format("no one plan meets the need with a chance of {:.3g} (risk.p), though each year by itself could be met", wanted)
             : "risk.p, risk.unmet_max_t and risk.co2e_max_t can each be kept, but not together";
  }
  return together;
}

}  // namespace

std::string explain_contradiction(const ProgrammeTerms& terms, const Programme& programme, int threads) {
  if (const auto words = promise_out_of_reach(terms, programme, threads); !words.empty()) return words;
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
