// First stage and heaps of the programme; programme_rows.cpp holds the rows that join heaps.
#include <algorithm>

#include "planner/sourcing/delivery.h"
#include "planner/sourcing/programme_builder.h"
#include "planner/supply/backups.h"

namespace rickyard {
namespace {

std::string name_of(const char* what, std::initializer_list<int> indices) {
  std::string out(what);
  for (int i : indices) out += i < 0 ? ".-" : "." + std::to_string(i);
  return out;
}

}  // namespace

Programme build_programme(const ProgrammeTerms& terms) { return ProgrammeBuilder(terms).build(); }

double weighted_cost(const ProgrammeTerms& terms, const ProgrammeColumn& column) {
  double cost = 0;
  for (int i = 0; i < column.cost_terms; ++i) cost += column.costs[static_cast<std::size_t>(i)].per_unit;
  return column.scenario < 0 ? cost : terms.weight[static_cast<std::size_t>(column.scenario)] * cost;
}

Programme ProgrammeBuilder::build() {
  const int scenarios = static_cast<int>(terms_.weight.size());
  for (int s = 0; s < scenarios; ++s) {
    programme_.grain.push_back(scenario_grain(terms_, s));
    programme_.constants.push_back(constant_costs(terms_, programme_.grain.back(), s));
  }
  first_stage();
  for (int s = 0; s < scenarios; ++s) scenario(s);
  programme_.tie_breaks = tie_breaks(terms_, programme_);
  return std::move(programme_);
}

int ProgrammeBuilder::column(ColumnKind kind, int s, int m, int h, int l, double lower, double upper, const Costs& costs) {
  static const char* const names[] = {"contract", "order", "reserve", "flow",      "sold",  "stock",
                                      "left",     "buy",   "overcap", "overlimit", "unmet", "short"};
  ProgrammeColumn c{kind, s, m, h, l, {}, 0};
  for (const auto& term : costs)
    if (term.per_unit != 0) c.costs[at(c.cost_terms++)] = term;
  programme_.columns.push_back(c);
  return programme_.lp.add_column(lower, upper, weighted_cost(terms_, c), name_of(names[static_cast<int>(kind)], {s, m, h, l}));
}

int ProgrammeBuilder::row(RuleKind kind, int s, int m, int index, double lower, double upper) {
  static const char* const names[] = {"balance", "need",   "ceiling", "share", "malting", "store", "intake",
                                      "drying",  "outlet", "season",  "take",  "option",  "ready", "closing"};
  programme_.rows.push_back({kind, s, m, index});
  return programme_.lp.add_row(lower, upper,
                               name_of(names[static_cast<int>(kind)], {s, m, index}) + "." + std::to_string(programme_.lp.rows()));
}

void ProgrammeBuilder::first_stage() {
  for (int c = 0; c < static_cast<int>(terms_.season.contracts.size()); ++c)
    first_.contract.push_back(column(ColumnKind::contract, -1, -1, c, -1, 1, 1));
  // What the signed amounts and the committed purchases cost in any case, as an expected value on one fixed column.
  const int fixed = column(ColumnKind::contract, -1, -1, -1, -1, 1, 1);
  double expected = 0;
  for (std::size_t s = 0; s < terms_.weight.size(); ++s)
    for (double cost : programme_.constants[s]) expected += terms_.weight[s] * cost;
  programme_.lp.cost[at(fixed)] = expected;
  for (int b = 0; b < static_cast<int>(terms_.backups.size()); ++b) {
    const auto& backup = terms_.backups[at(b)];
    first_.order.emplace_back(at(months_), -1);
    int season_row = -1;
    double committed = 0;
    for (int m = 0; m < months_; ++m) {
      committed += backup.committed_t[at(m)];
      if (!backup.open[at(m)] || !backup.first_stage[at(m)]) continue;
      const auto price = backup_price(terms_, b, m, -1);
      const int order = column(ColumnKind::order, -1, m, b, -1, 0, backup.cap_t_month - backup.committed_t[at(m)],
                               {{CostPart::purchases, price.grain}, {CostPart::freight, price.freight}});
      first_.order[at(b)][at(m)] = order;
      if (!std::isfinite(backup.cap_t_season)) continue;
      if (season_row < 0) season_row = row(RuleKind::season_cap, -1, -1, b, -kNoBound, 0);
      add(season_row, order, 1);
    }
    if (season_row >= 0) programme_.lp.row_upper[at(season_row)] = std::max(backup.cap_t_season - committed, 0.0);
    const auto& row_of = terms_.season.backups[at(b)];
    const double fee = row_of.option_fee_per_t.value_or(0) * mean_currency_rate(terms_.season, row_of.currency) * backup.to_reference;
    first_.reserve.push_back(fee > 0 && !backup.lost ? column(ColumnKind::reserve, -1, -1, b, -1, 0, kNoBound, {{CostPart::options, fee}})
                                                     : -1);
  }
}

void ProgrammeBuilder::scenario(int s) {
  const auto heaps = terms_.heaps.size();
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
  for (const auto& [where, value] : shared_) add(where.first, where.second, value);
}

// Grain that may be taken beyond the signed duty: one fraction per contract, all its bands alike.
void ProgrammeBuilder::contract_options(int s) {
  over_cap_.assign(terms_.season.contracts.size(), -1);
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
    if (cap)
      over_cap_[at(c)] = column(ColumnKind::over_cap, s, -1, c, -1, 0, 1,
                                {{CostPart::contracts, price_cap}, {CostPart::claims, claim_cap}, {CostPart::freight, haul_cap}});
    if (limit)
      over_limit_[at(c)] = column(ColumnKind::over_limit, s, -1, c, -1, 0, 1,
                                  {{CostPart::contracts, price_limit}, {CostPart::claims, claim_limit}, {CostPart::freight, haul_limit}});
  }
}

// What arrives from a contract in a month: of the signed amount and of what may be taken beyond it.
void ProgrammeBuilder::arrivals(int s, int h, int m, int balance_row) {
  const auto& g = grain(s, h);
  const int c = heap_terms(h).heap.index;
  const double share = g.arrival_share[at(m)];
  const bool wet = !terms_.season.contracts[at(c)].delivery_share;
  const std::pair<int, double> sources[] = {
      {first_.contract[at(c)], g.firm_t}, {over_cap_[at(c)], g.over_cap_t}, {over_limit_[at(c)], g.over_limit_t}};
  for (const auto& [from, whole] : sources) {
    const double t = to_micro(whole * share);
    if (from < 0 || t == 0) continue;
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
  if (over_cap_[at(c)] >= 0) add(balance, over_cap_[at(c)], -g.over_cap_t);
  if (over_limit_[at(c)] >= 0) add(balance, over_limit_[at(c)], -g.over_limit_t);
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
