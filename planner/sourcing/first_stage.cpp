// First stage of the programme: contracts, orders placed ahead, options, whole lots, and what each scenario is allowed.
#include <algorithm>
#include <cmath>
#include <limits>

#include "planner/base/draws.h"
#include "planner/sourcing/carbon.h"
#include "planner/sourcing/delivery.h"
#include "planner/sourcing/programme_builder.h"
#include "planner/supply/backups.h"
#include "planner/supply/contract_grain.h"

namespace rickyard {
namespace {

// Among first stages of the same cost the one with the least of these is taken: at most this much per tonne, rising with the order
// of the columns, a fixed draw in each so that no two sums are equal.
constexpr double kTiePerTonne = 1e-3;
constexpr double kPositions = 256;  // columns after this position count alike

double tie_of(int position, double tonnes) {
  const double draw = uniform_draw(0, DrawPurpose::tie_break, {0, static_cast<std::uint32_t>(position), 0, 0});
  return kTiePerTonne * tonnes * (std::min<double>(position, kPositions) + draw) / (kPositions + 1);
}

}  // namespace

ColumnRef ProgrammeBuilder::first_column(ColumnKind kind, int s, int m, int h, double lower, double upper, double tonnes,
                                         const Costs& costs, bool whole) {
  auto& problem = programme_.problem;
  ProgrammeColumn c{kind, s, m, h, -1, {}, 0};
  double cost = 0;
  for (const auto& term : costs) {
    if (term.per_unit == 0) continue;
    c.costs[at(c.cost_terms++)] = term;
    cost += term.per_unit;
  }
  programme_.columns.push_back(c);
  const int index = problem.first.add_column(lower, upper, cost, "first." + std::to_string(problem.first.columns()));
  problem.integer.push_back(whole ? 1 : 0);
  problem.owner.push_back(kind == ColumnKind::lots || kind == ColumnKind::used_at_all ? s : -1);
  problem.tie_cost.push_back(tie_of(index, tonnes) * (s < 0 ? 1 : terms_.weight[at(s)]));
  return {index, true};
}

int ProgrammeBuilder::first_row(RuleKind kind, int s, int m, int index, double lower, double upper) {
  programme_.rows.push_back({kind, s, m, index});
  auto& first = programme_.problem.first;
  return first.add_row(lower, upper, "first." + std::to_string(first.rows()));
}

void ProgrammeBuilder::first_stage() {
  contracts();
  variety_caps();
  scenario_lots_.resize(terms_.weight.size());
  scenario_used_.assign(terms_.weight.size(), {});
  for (int b = 0; b < static_cast<int>(terms_.backups.size()); ++b) {
    orders(b);
    later_integers(b);
  }
  allowances();
}

void ProgrammeBuilder::contracts() {
  for (int c = 0; c < static_cast<int>(terms_.season.contracts.size()); ++c) {
    const auto& row = terms_.season.contracts[at(c)];
    const auto& choice = terms_.contract_choice[at(c)];
    double tonnes = 0;
    for (std::size_t s = 0; s < terms_.weight.size(); ++s)
      tonnes = std::max(tonnes, delivery(terms_.season, row, terms_.supply.scenarios[at(terms_.scenario_of[s])].contracts[at(c)]).firm());
    first_.contract.push_back(first_column(ColumnKind::contract, -1, -1, c, choice.least, choice.most, tonnes));
  }
}

// Hectares of a variety at most its share of all hectares, where hectares are a choice.
void ProgrammeBuilder::variety_caps() {
  const auto& contracts = terms_.season.contracts;
  if (!terms_.contracts_are_open()) return;
  for (int v = 0; v < static_cast<int>(terms_.season.varieties.size()); ++v) {
    const auto& variety = terms_.season.varieties[at(v)];
    if (!variety.share_cap) continue;
    const int cap = first_row(RuleKind::variety, -1, -1, v, -kNoBound, 0);
    for (int c = 0; c < static_cast<int>(contracts.size()); ++c)
      programme_.problem.first.add(
          cap, first_.contract[at(c)].index,
          planted_ha_of(contracts[at(c)]) * ((contracts[at(c)].variety == variety.variety ? 1 : 0) - *variety.share_cap));
  }
}

bool ProgrammeBuilder::may_wait(int b) const {
  const auto& backup = terms_.backups[at(b)];
  for (int m = 0; m < months_; ++m)
    if (backup.open[at(m)] && !backup.first_stage[at(m)]) return true;
  return false;
}

void ProgrammeBuilder::orders(int b) {
  auto& first = programme_.problem.first;
  const auto& backup = terms_.backups[at(b)];
  const auto& row_of = terms_.season.backups[at(b)];
  first_.order.emplace_back(at(months_));
  int season_row = -1;
  double committed = 0, most = 0;
  std::vector<ColumnRef> ordered;
  for (int m = 0; m < months_; ++m) {
    committed += backup.committed_t[at(m)];
    if (backup.open[at(m)]) most += std::max(backup.cap_t_month - backup.committed_t[at(m)], 0.0);
    if (!backup.open[at(m)] || !backup.first_stage[at(m)]) continue;
    const auto price = backup_price(terms_, b, m, -1);
    const double cap = std::max(backup.cap_t_month - backup.committed_t[at(m)], 0.0);
    const auto order =
        first_column(ColumnKind::order, -1, m, b, 0, cap, 1, {{CostPart::purchases, price.grain}, {CostPart::freight, price.freight}});
    first_.order[at(b)][at(m)] = order;
    ordered.push_back(order);
    if (backup.lot_t > 0) {
      const double lot = backup.lot_t;
      const auto lots = first_column(ColumnKind::lots, -1, m, b, 0, std::floor(cap / lot + 1e-9), lot, {}, true);
      const int whole = first_row(RuleKind::lot, -1, m, b, 0, 0);
      first.add(whole, order.index, 1);
      first.add(whole, lots.index, -lot);
    }
    if (!std::isfinite(backup.cap_t_season)) continue;
    if (season_row < 0) season_row = first_row(RuleKind::season_cap, -1, -1, b, -kNoBound, 0);
    first.add(season_row, order.index, 1);
  }
  if (season_row >= 0) first.row_upper[at(season_row)] = std::max(backup.cap_t_season - committed, 0.0);
  const double fee = row_of.option_fee_per_t.value_or(0) * mean_currency_rate(terms_.season, row_of.currency) * backup.to_reference;
  first_.reserve.push_back(
      fee > 0 && !backup.lost && most > 0
          ? first_column(ColumnKind::reserve, -1, -1, b, 0, std::min(most, backup.cap_t_season), 1, {{CostPart::options, fee}})
          : ColumnRef{});
  first_.used_at_all.push_back({});
  if (backup.take_if_used_t <= 0 || may_wait(b) || ordered.empty() || committed >= backup.take_if_used_t) return;
  first_.used_at_all.back() = first_column(ColumnKind::used_at_all, -1, -1, b, 0, 1, backup.take_if_used_t, {}, true);
  const int least = first_row(RuleKind::if_used, -1, -1, b, -committed, kNoBound),
            top = first_row(RuleKind::if_used, -1, -1, b, -kNoBound, 0);
  for (const auto& order : ordered) {
    first.add(least, order.index, 1);
    first.add(top, order.index, 1);
  }
  // Something committed counts as used: then the least is owed whatever is ordered.
  first.add(least, first_.used_at_all.back().index, -backup.take_if_used_t);
  first.add(top, first_.used_at_all.back().index, -most);
  if (committed > 0) first.column_lower[at(first_.used_at_all.back().index)] = 1;
}

// Whole numbers of orders that wait for the year: one column for each scenario, their bounds set when the scenario is built.
void ProgrammeBuilder::later_integers(int b) {
  const auto& backup = terms_.backups[at(b)];
  const double lot = backup.lot_t;
  double committed = 0;
  for (double t : backup.committed_t) committed += t;
  for (int s = 0; s < static_cast<int>(terms_.weight.size()); ++s) {
    for (int m = 0; lot > 0 && m < months_; ++m)
      if (backup.open[at(m)] && !backup.first_stage[at(m)])
        scenario_lots_[at(s)][{b, m}] = first_column(ColumnKind::lots, s, m, b, 0, 0, lot, {}, true);
    const bool chooses = backup.take_if_used_t > committed && may_wait(b);
    scenario_used_[at(s)].push_back(
        chooses ? first_column(ColumnKind::used_at_all, s, -1, b, committed > 0 ? 1 : 0, 1, backup.take_if_used_t, {}, true) : ColumnRef{});
  }
}

// What a scenario may leave unmet and what its grain may emit are first-stage columns of their own, so that rules over all
// scenarios are rows of the first stage.
void ProgrammeBuilder::allowances() {
  const auto& risk = terms_.season.risk;
  auto& first = programme_.problem.first;
  const auto scenarios = static_cast<int>(terms_.weight.size());
  unmet_allowed_.assign(at(scenarios), {});
  carbon_allowed_ = unmet_allowed_;
  const bool by_chance = risk.p.value_or(0) > 0;
  const auto need_of = [&](int s) {
    double need = 0;
    for (const auto& line : terms_.need_t)
      for (double t : line) need += to_micro(t * terms_.supply.scenarios[at(terms_.scenario_of[at(s)])].demand_factor);
    return need;
  };
  if (by_chance || risk.unmet_max_t) {
    for (int s = 0; s < scenarios; ++s) unmet_allowed_[at(s)] = first_column(ColumnKind::unmet_allowed, s, -1, -1, 0, need_of(s), 1);
    if (risk.unmet_max_t) {
      const int all = first_row(RuleKind::expected_unmet, -1, -1, -1, -kNoBound, *risk.unmet_max_t);
      for (int s = 0; s < scenarios; ++s) first.add(all, unmet_allowed_[at(s)].index, terms_.weight[at(s)]);
    }
  }
  if (by_chance) {
    const int chance = first_row(RuleKind::chance, -1, -1, -1, *risk.p - 1e-9, kNoBound);
    for (int s = 0; s < scenarios; ++s) {
      const double need = need_of(s), spare = kCoveredShare * need;
      const auto met = first_column(ColumnKind::must_be_met, s, -1, -1, 0, 1, 1, {}, true);
      const int row = first_row(RuleKind::unmet_of, s, -1, -1, -kNoBound, need);
      first.add(row, unmet_allowed_[at(s)].index, 1);
      first.add(row, met.index, need - spare);
      first.add(chance, met.index, terms_.weight[at(s)]);
    }
  }
  if (!risk.co2e_max_t) return;
  const int all = first_row(RuleKind::carbon, -1, -1, -1, -kNoBound, *risk.co2e_max_t);
  for (int s = 0; s < scenarios; ++s) {
    carbon_allowed_[at(s)] = first_column(ColumnKind::carbon_allowed, s, -1, -1, 0, largest_carbon_t(terms_, programme_.grain[at(s)]), 1);
    first.add(all, carbon_allowed_[at(s)].index, terms_.weight[at(s)]);
  }
}

}  // namespace rickyard
