// The programme's scenarios and their heaps; first_stage.cpp holds what is decided ahead, programme_rows.cpp the rows that join heaps.
#include <algorithm>
#include <stdexcept>

#include "planner/sourcing/delivery.h"
#include "planner/sourcing/programme_builder.h"
#include "planner/supply/backups.h"

namespace rickyard {
Programme build_programme(const ProgrammeTerms& terms) { return ProgrammeBuilder(terms).build(); }

Programme ProgrammeBuilder::build() {
  const int scenarios = static_cast<int>(terms_.weight.size());
  auto& problem = programme_.problem;
  problem.lambda = terms_.season.risk.lambda.value_or(0.5);
  problem.alpha = terms_.season.risk.alpha.value_or(0.9);
  for (int s = 0; s < scenarios; ++s) programme_.grain.push_back(scenario_grain(terms_, s));
  first_stage();
  problem.scenarios.resize(at(scenarios));
  for (int s = 0; s < scenarios; ++s) {
    scenario_ = &problem.scenarios[at(s)];
    scenario(s);
  }
  // First-stage columns that speak of one scenario were added beside the scenarios' own.
  programme_.columns.insert(programme_.columns.end(), own_columns_.begin(), own_columns_.end());
  programme_.rows.insert(programme_.rows.end(), own_rows_.begin(), own_rows_.end());
  const int columns = problem.first.columns() + static_cast<int>(own_columns_.size());
  programme_.column_start.assign(1, problem.first.columns());
  programme_.row_start.assign(1, problem.first.rows());
  for (const auto& one : problem.scenarios) {
    programme_.column_start.push_back(programme_.column_start.back() + one.lp.columns());
    programme_.row_start.push_back(programme_.row_start.back() + one.lp.rows());
  }
  if (columns != programme_.column_start.back()) throw std::logic_error("the programme's columns do not add up");
  programme_.tie_breaks = tie_breaks(terms_, programme_);
  return std::move(programme_);
}

void ProgrammeBuilder::add(int row_index, const ColumnRef& column, double value) {
  if (!column.first)
    scenario_->lp.add(row_index, column.index, value);
  else if (value != 0)
    scenario_->linking.push_back({row_index, column.index, value});
}

int ProgrammeBuilder::column(ColumnKind kind, int s, int m, int h, int l, double lower, double upper, const Costs& costs) {
  ProgrammeColumn c{kind, s, m, h, l, {}, 0};
  double cost = 0;
  for (const auto& term : costs) {
    if (term.per_unit == 0) continue;
    c.costs[at(c.cost_terms++)] = term;
    cost += term.per_unit;
  }
  own_columns_.push_back(c);
  return scenario_->lp.add_column(lower, upper, cost, "c" + std::to_string(own_columns_.size()));
}

int ProgrammeBuilder::row(RuleKind kind, int s, int m, int index, double lower, double upper) {
  own_rows_.push_back({kind, s, m, index});
  return scenario_->lp.add_row(lower, upper, "r" + std::to_string(own_rows_.size()));
}

void ProgrammeBuilder::scenario(int s) {
  const auto heaps = terms_.heaps.size();
  scenario_->weight = terms_.weight[at(s)];
  scenario_->largest = terms_.largest_t;
  std::array<double, kCostParts> constants = constant_costs(terms_, programme_.grain[at(s)], s, -1);
  for (double cost : constants) scenario_->fixed_cost += cost;
  scenario_->first_cost.assign(at(programme_.problem.first.columns()), 0);
  for (int c = 0; c < static_cast<int>(first_.contract.size()); ++c) {
    const auto own = constant_costs(terms_, programme_.grain[at(s)], s, c);
    for (std::size_t part = 0; part < own.size(); ++part) {
      scenario_->first_cost[at(first_.contract[at(c)].index)] += own[part];
      constants[part] += own[part];
    }
  }
  programme_.constants.push_back(constants);
  unmet_columns_.clear();
  leaving_.assign(at(months_), {});
  kept_.clear();
  shared_.clear();
  balance_.assign(heaps, std::vector<int>(at(months_), -1));
  rows_of_months(s);
  contract_options(s);
  for (int h = 0; h < static_cast<int>(heaps); ++h) {
    if (heap_terms(h).keep == Keep::in_store) in_store(s, h);
    if (heap_terms(h).keep == Keep::on_farm) on_farm(s, h);
    if (heap_terms(h).keep == Keep::at_once) at_once(s, h);
  }
  purchases(s);
  ready_rows(s);
  closing_rows(s);
  scenario_allowances(s);
  for (const auto& [where, value] : shared_) add(where.first, where.second, value);
}

// Grain that may be taken beyond the signed duty: one fraction per contract, all its bands alike.
void ProgrammeBuilder::contract_options(int s) {
  over_cap_.assign(terms_.season.contracts.size(), {});
  over_limit_ = over_cap_;
  for (int c = 0; c < static_cast<int>(over_cap_.size()); ++c) {
    double price_cap = 0, claim_cap = 0, haul_cap = 0, price_limit = 0, claim_limit = 0, haul_limit = 0;
    bool cap = false, limit = false;
    const double haul = terms_.season.contracts[at(c)].haul_per_t.value_or(0);
    for (int h = 0; h < static_cast<int>(terms_.heaps.size()); ++h) {
      const auto& heap = heap_terms(h).heap;
      if (heap.from != Heap::From::contract || heap.index != c || heap.band < 0) continue;
      const auto& g = grain(s, h);
      cap = cap || g.over_cap_t > 0;
      limit = limit || g.over_limit_t > 0;
      for (int m = 0; m < static_cast<int>(g.arrival_share.size()); ++m) {
        const double over_cap = to_micro(g.over_cap_t * g.arrival_share[at(m)]),
                     over_limit = to_micro(g.over_limit_t * g.arrival_share[at(m)]);
        price_cap += over_cap * contract_price(terms_, c, m);
        price_limit += over_limit * contract_price(terms_, c, m);
        claim_cap -= over_cap * g.claim_per_t;
        claim_limit -= over_limit * g.claim_per_t;
        haul_cap += over_cap * haul;
        haul_limit += over_limit * haul;
      }
    }
    // A fraction of the contract as it stands in the table: at most what is signed of it.
    const auto of_contract = [&](int fraction) {
      const auto& choice = terms_.contract_choice[at(c)];
      if (choice.least != choice.most || choice.most != 1) {
        lp().column_upper[at(fraction)] = choice.most;
        const int spare = row(RuleKind::spare, s, -1, c, -kNoBound, 0);
        add(spare, fraction, 1);
        add(spare, first_.contract[at(c)], -1);
      }
      return ColumnRef{fraction, false};
    };
    if (cap)
      over_cap_[at(c)] =
          of_contract(column(ColumnKind::over_cap, s, -1, c, -1, 0, 1,
                             {{CostPart::contracts, price_cap}, {CostPart::claims, claim_cap}, {CostPart::freight, haul_cap}}));
    if (limit)
      over_limit_[at(c)] =
          of_contract(column(ColumnKind::over_limit, s, -1, c, -1, 0, 1,
                             {{CostPart::contracts, price_limit}, {CostPart::claims, claim_limit}, {CostPart::freight, haul_limit}}));
  }
}

// What arrives from a contract in a month: of the signed amount and of what may be taken beyond it.
void ProgrammeBuilder::arrivals(int s, int h, int m, int balance_row) {
  const auto& g = grain(s, h);
  const int c = heap_terms(h).heap.index;
  const double share = g.arrival_share[at(m)];
  const bool wet = !terms_.season.contracts[at(c)].delivery_share;
  const std::pair<ColumnRef, double> sources[] = {
      {first_.contract[at(c)], g.firm_t}, {over_cap_[at(c)], g.over_cap_t}, {over_limit_[at(c)], g.over_limit_t}};
  for (const auto& [from, whole] : sources) {
    const double t = to_micro(whole * share);
    if (!from.there() || t == 0) continue;
    add(balance_row, from, -t);
    if (intake_[at(m)] >= 0) shared_[{intake_[at(m)], from}] += t;
    if (wet && drying_[at(m)] >= 0) shared_[{drying_[at(m)], from}] += t;
  }
}

void ProgrammeBuilder::in_store(int s, int h) {
  const auto& heap = heap_terms(h);
  const auto& g = grain(s, h);
  const bool contract = heap.heap.from == Heap::From::contract;
  int first = heap.heap.from == Heap::From::backup ? heap.first_month : 0;
  if (contract) {
    if (g.firm_t + g.over_cap_t + g.over_limit_t == 0) return;
    while (first < months_ && !(g.arrival_share[at(first)] > 0)) ++first;
  }
  int before = -1;
  for (int m = first; m < months_; ++m) {
    const double opening = m == 0 ? (1 - terms_.store.loss_month) * g.opening_t : 0;
    const int balance = balance_[at(h)][at(m)] = row(RuleKind::balance, s, m, h, opening, opening);
    flows(s, h, m, balance, {});
    sales(s, h, m, balance, {});
    const int stock = column(ColumnKind::stock, s, m, h, -1, 0, kNoBound,
                             {{CostPart::storage, heap.hold_per_t_month}, {CostPart::interest, terms_.interest_month * g.value_per_t}});
    add(balance, stock, 1);
    if (before >= 0) add(balance, before, -(1 - terms_.store.loss_month));
    if (store_[at(m)] >= 0) add(store_[at(m)], stock, 1);
    before = stock;
    if (contract) arrivals(s, h, m, balance);
  }
  if (before >= 0 && heap.last_use_month >= months_) kept_.push_back({h, before});
}

// Payment, claim, haul and holding of a tonne that leaves a farm in month m.
ProgrammeBuilder::Costs ProgrammeBuilder::farm_costs(int h, int m, const HeapGrain& g) const {
  const auto& heap = heap_terms(h);
  return {{CostPart::contracts, contract_price(terms_, heap.heap.index, m)},
          {CostPart::claims, -g.claim_per_t},
          {CostPart::freight, terms_.season.contracts[at(heap.heap.index)].haul_per_t.value_or(0)},
          {CostPart::storage, heap.hold_per_t_month * (m - g.arrival_month)}};
}

double ProgrammeBuilder::farm_cost(int h, int m, const HeapGrain& g) const {
  double sum = 0;
  for (const auto& term : farm_costs(h, m, g)) sum += term.per_unit;
  return sum;
}

void ProgrammeBuilder::on_farm(int s, int h) {
  const auto& g = grain(s, h);
  const int c = heap_terms(h).heap.index;
  if (g.arrival_month >= months_ || g.firm_t + g.over_cap_t + g.over_limit_t == 0) return;
  const int balance = balance_[at(h)][0] = row(RuleKind::balance, s, g.arrival_month, h, 0, 0);
  add(balance, first_.contract[at(c)], -g.firm_t);
  if (over_cap_[at(c)].there()) add(balance, over_cap_[at(c)], -g.over_cap_t);
  if (over_limit_[at(c)].there()) add(balance, over_limit_[at(c)], -g.over_limit_t);
  for (int m = g.arrival_month; m < months_; ++m) {
    const auto costs = farm_costs(h, m, g);
    flows(s, h, m, balance, costs);
    sales(s, h, m, balance, costs);
  }
  const int left = column(ColumnKind::left_on_farm, s, months_ - 1, h, -1, 0, kNoBound, farm_costs(h, months_ - 1, g));
  add(balance, left, 1);
  if (heap_terms(h).last_use_month >= months_) kept_.push_back({h, left});
}

void ProgrammeBuilder::at_once(int s, int h) {
  const auto& g = grain(s, h);
  if (g.arrival_month >= months_ || g.firm_t == 0) return;
  const int balance = balance_[at(h)][at(g.arrival_month)] = row(RuleKind::balance, s, g.arrival_month, h, 0, 0);
  add(balance, first_.contract[at(heap_terms(h).heap.index)], -g.firm_t);
  sales(s, h, g.arrival_month, balance, {});
}

}  // namespace rickyard
