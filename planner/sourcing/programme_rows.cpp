// The rows that join heaps: months, uses, purchases, first use of new crop, closing stock.
#include <algorithm>
#include <cmath>

#include "planner/sourcing/carbon.h"
#include "planner/sourcing/delivery.h"
#include "planner/sourcing/programme_builder.h"

namespace rickyard {

void ProgrammeBuilder::rows_of_months(int s) {
  const auto& t = terms_;
  const int lines = static_cast<int>(t.lines.size());
  const double demand = t.supply.scenarios[at(t.scenario_of[at(s)])].demand_factor;
  need_.assign(at(lines), std::vector<int>(at(months_), -1));
  ceiling_ = need_;
  share_.assign(t.season.share_limits.size(), std::vector<int>(at(months_), -1));
  outlet_.assign(t.outlets.size(), std::vector<int>(at(months_), -1));
  malting_.assign(at(months_), -1);
  store_ = intake_ = drying_ = malting_;
  for (int m = 0; m < months_; ++m) {
    for (int l = 0; l < lines; ++l) {
      const double need = to_micro(t.need_t[at(l)][at(m)] * demand);
      if (!(need > 0)) continue;
      need_[at(l)][at(m)] = row(RuleKind::need, s, m, l, need, need);
      unmet_columns_.push_back(column(ColumnKind::unmet, s, m, -1, l, 0, kNoBound, {{CostPart::unmet, t.unmet_price}}));
      add(need_[at(l)][at(m)], unmet_columns_.back(), 1);
      if (t.lines[at(l)].n_ceiling_pct[at(m)]) ceiling_[at(l)][at(m)] = row(RuleKind::ceiling, s, m, l, -kNoBound, 0);
    }
    for (int i = 0; i < static_cast<int>(share_.size()); ++i) share_[at(i)][at(m)] = row(RuleKind::share, s, m, i, -kNoBound, 0);
    const int days = days_in(t.month(m));
    if (std::isfinite(t.malting_t[at(m)])) malting_[at(m)] = row(RuleKind::malting, s, m, -1, -kNoBound, t.malting_t[at(m)]);
    if (std::isfinite(t.store.capacity_t)) store_[at(m)] = row(RuleKind::store, s, m, -1, -kNoBound, t.store.capacity_t);
    if (std::isfinite(t.store.intake_t_day)) intake_[at(m)] = row(RuleKind::intake, s, m, -1, -kNoBound, t.store.intake_t_day * days);
    if (std::isfinite(t.store.dry_t_day)) drying_[at(m)] = row(RuleKind::drying, s, m, -1, -kNoBound, t.store.dry_t_day * days);
    for (int o = 0; o < static_cast<int>(outlet_.size()); ++o)
      if (std::isfinite(t.outlets[at(o)].cap_t_month))
        outlet_[at(o)][at(m)] = row(RuleKind::outlet, s, m, o, -kNoBound, t.outlets[at(o)].cap_t_month);
  }
}

// Uses of a heap in a month, for every line it may serve.
void ProgrammeBuilder::flows(int s, int h, int m, int balance_row, const Costs& costs) {
  const auto& heap = heap_terms(h);
  const auto& g = grain(s, h);
  if (m < g.first_month || m > heap.last_use_month) return;
  for (int l = 0; l < static_cast<int>(terms_.lines.size()); ++l) {
    const auto& line = terms_.lines[at(l)];
    if (need_[at(l)][at(m)] < 0 || !carries(heap.heap, line.origin_rule)) continue;
    const int flow = column(ColumnKind::flow, s, m, h, l, 0, kNoBound, costs);
    add(balance_row, flow, 1);
    add(need_[at(l)][at(m)], flow, g.equivalent[at(l)]);
    if (ceiling_[at(l)][at(m)] >= 0) add(ceiling_[at(l)][at(m)], flow, g.n_pct - *line.n_ceiling_pct[at(m)]);
    if (malting_[at(m)] >= 0) add(malting_[at(m)], flow, 1);
    for (std::size_t i = 0; i < share_.size(); ++i) {
      const auto& limit = terms_.season.share_limits[i];
      if (limit.line.empty() || limit.line == line.line)
        add(share_[i][at(m)], flow, (heap.heap.origin == limit.origin ? 1 : 0) - limit.max_share);
    }
    leaving_[at(m)].push_back({flow, l, h, g.equivalent[at(l)]});
  }
}

// On a farm nothing but price speaks for a month of sale, so a month that pays no more than an earlier one is left out.
bool ProgrammeBuilder::sale_can_pay(int s, int h, int m, int outlet) const {
  const auto& o = terms_.outlets[at(outlet)];
  if (heap_terms(h).keep != Keep::on_farm || std::isfinite(o.cap_t_month)) return true;
  const auto& g = grain(s, h);
  const double here = o.net_price_per_t[at(m)] - farm_cost(h, m, g);
  for (int before = g.arrival_month; before < m; ++before)
    if (o.net_price_per_t[at(before)] - farm_cost(h, before, g) >= here) return false;
  return true;
}

void ProgrammeBuilder::sales(int s, int h, int m, int balance_row, const Costs& costs) {
  const auto& g = grain(s, h);
  for (int o = 0; o < static_cast<int>(terms_.outlets.size()); ++o) {
    const auto& outlet = terms_.outlets[at(o)];
    if (g.n_pct < outlet.n_min_pct || g.n_pct > outlet.n_max_pct || !sale_can_pay(s, h, m, o)) continue;
    Costs all(costs);
    all.push_back({CostPart::outlets, -outlet.net_price_per_t[at(m)]});
    const int sold = column(ColumnKind::sold, s, m, h, o, 0, kNoBound, all);
    add(balance_row, sold, 1);
    if (outlet_[at(o)][at(m)] >= 0) add(outlet_[at(o)][at(m)], sold, 1);
    // Grain sold in the month it arrives need not pass the store's gate.
    if (m >= static_cast<int>(g.arrival_share.size()) || !(g.arrival_share[at(m)] > 0)) continue;
    if (intake_[at(m)] >= 0) add(intake_[at(m)], sold, -1);
    if (drying_[at(m)] >= 0 && !terms_.season.contracts[at(heap_terms(h).heap.index)].delivery_share) add(drying_[at(m)], sold, -1);
  }
}

void ProgrammeBuilder::purchases(int s) {
  const auto& scenario = terms_.supply.scenarios[at(terms_.scenario_of[at(s)])];
  for (int b = 0; b < static_cast<int>(terms_.backups.size()); ++b) {
    const auto& backup = terms_.backups[at(b)];
    const double factor = scenario.backups[at(b)].cap_factor;
    std::vector<ColumnRef> later, ordered;
    double committed = 0, most = 0;
    for (int m = 0; m < months_; ++m) {
      const int balance = balance_[at(backup.heap[at(m)])][at(m)];
      const double already = backup.committed_t[at(m)];
      committed += already;
      lp().row_lower[at(balance)] += already;
      lp().row_upper[at(balance)] += already;
      if (intake_[at(m)] >= 0) lp().row_upper[at(intake_[at(m)])] -= already;
      ColumnRef from = first_.order[at(b)][at(m)];
      if (from.there()) {
        ordered.push_back(from);
        most += std::max(backup.cap_t_month - already, 0.0);
      } else if (backup.open[at(m)]) {
        const auto price = backup_price(terms_, b, m, s);
        const double cap = std::max(to_micro(in_lots(backup, backup.cap_t_month * factor)) - already, 0.0);
        from = {column(ColumnKind::purchase, s, m, b, -1, 0, cap, {{CostPart::purchases, price.grain}, {CostPart::freight, price.freight}}),
                false};
        later.push_back(from);
        most += cap;
        whole_lots(s, b, m, from, cap);
      }
      if (!from.there()) continue;
      add(balance, from, -1);
      if (intake_[at(m)] >= 0) add(intake_[at(m)], from, 1);
    }
    // What is not ordered ahead scales with the scenario's cap.
    if (std::isfinite(backup.cap_t_season) && !later.empty()) {
      const double f = backup.cap_t_season > 0 ? in_lots(backup, factor * backup.cap_t_season) / backup.cap_t_season : factor;
      const int cap = row(RuleKind::season_cap, s, -1, b, -kNoBound, f * std::max(backup.cap_t_season - committed, 0.0));
      for (const auto& q : later) add(cap, q, 1);
      for (const auto& y : ordered) add(cap, y, f);
    }
    auto taken = later;
    taken.insert(taken.end(), ordered.begin(), ordered.end());
    const double least = backup.min_take_t * (later.empty() ? 1 : std::min(1.0, factor)) - committed;
    if (backup.min_take_t > 0 && least > 0) {
      const int take = row(RuleKind::min_take, s, -1, b, least, kNoBound);
      for (const auto& t : taken) add(take, t, 1);
    }
    if (!later.empty()) take_if_used(s, b, taken, committed, most, std::min(1.0, factor));
    if (first_.reserve[at(b)].there()) {
      const int option = row(RuleKind::option, s, -1, b, 0, kNoBound);
      add(option, first_.reserve[at(b)], 1);
      for (const auto& t : taken) add(option, t, -1);
    }
  }
}

// What a source that sells whole lots has in a year: the nearest number of them.
double ProgrammeBuilder::in_lots(const BackupTerms& backup, double tonnes) {
  return backup.lot_t > 0 ? backup.lot_t * std::floor(tonnes / backup.lot_t + 0.5) : tonnes;
}

// A later order in whole lots: how many is a first-stage column that speaks of this scenario alone.
void ProgrammeBuilder::whole_lots(int s, int b, int m, const ColumnRef& order, double cap) {
  const auto& lots = scenario_lots_[at(s)];
  const auto found = lots.find({b, m});
  if (found == lots.end()) return;
  const double lot = terms_.backups[at(b)].lot_t;
  programme_.problem.first.column_upper[at(found->second.index)] = std::floor(cap / lot + 1e-9);
  const int whole = row(RuleKind::lot, s, m, b, 0, 0);
  add(whole, order, 1);
  add(whole, found->second, -lot);
}

// Nothing, or at least the minimum: the least falls with a scenario's cap, as a standing minimum does.
void ProgrammeBuilder::take_if_used(int s, int b, const std::vector<ColumnRef>& taken, double committed, double most, double factor) {
  const auto& used = scenario_used_[at(s)][at(b)];
  if (!used.there()) return;
  const double least = terms_.backups[at(b)].take_if_used_t * factor;
  const int from = row(RuleKind::if_used, s, -1, b, -committed, kNoBound), to = row(RuleKind::if_used, s, -1, b, -kNoBound, 0);
  for (const auto& t : taken) {
    add(from, t, 1);
    add(to, t, 1);
  }
  add(from, used, -least);
  add(to, used, -most);
}

// The rules over all scenarios reach this one through what it is allowed.
void ProgrammeBuilder::scenario_allowances(int s) {
  if (unmet_allowed_[at(s)].there()) {
    const int allowed = row(RuleKind::unmet_of, s, -1, -1, -kNoBound, 0);
    for (int u : unmet_columns_) add(allowed, u, 1);
    add(allowed, unmet_allowed_[at(s)], -1);
  }
  if (!carbon_allowed_[at(s)].there()) return;
  double committed = 0;
  std::map<ColumnRef, double> carried;
  for (int h = 0; h < static_cast<int>(terms_.heaps.size()); ++h) {
    const auto& heap = heap_terms(h).heap;
    if (heap.from != Heap::From::contract || heap.band < 0) continue;
    const double per_t = contract_carbon(terms_, heap.index);
    const auto& g = grain(s, h);
    carried[first_.contract[at(heap.index)]] += per_t * g.firm_t;
    if (over_cap_[at(heap.index)].there()) carried[over_cap_[at(heap.index)]] += per_t * g.over_cap_t;
    if (over_limit_[at(heap.index)].there()) carried[over_limit_[at(heap.index)]] += per_t * g.over_limit_t;
  }
  for (int b = 0; b < static_cast<int>(terms_.backups.size()); ++b)
    for (int m = 0; m < months_; ++m) {
      committed += backup_carbon(terms_, b) * terms_.backups[at(b)].committed_t[at(m)];
      if (first_.order[at(b)][at(m)].there()) carried[first_.order[at(b)][at(m)]] += backup_carbon(terms_, b);
    }
  for (std::size_t j = at(static_cast<int>(own_columns_.size()) - lp().columns()); j < own_columns_.size(); ++j)
    if (own_columns_[j].kind == ColumnKind::purchase)
      carried[{static_cast<int>(j) - (static_cast<int>(own_columns_.size()) - lp().columns()), false}] +=
          backup_carbon(terms_, own_columns_[j].heap);
  const int allowed = row(RuleKind::carbon_of, s, -1, -1, -kNoBound, -committed);
  for (const auto& [column, per_unit] : carried) add(allowed, column, per_unit);
  add(allowed, carbon_allowed_[at(s)], -1);
}

// In the month in which grain becomes fit for use, what is fit from day d on serves only the days from d on.
void ProgrammeBuilder::ready_rows(int s) {
  for (int m = 0; m < months_; ++m) {
    const double start = day_number(first_day(terms_.month(m))), days = days_in(terms_.month(m));
    for (int l = 0; l < static_cast<int>(terms_.lines.size()); ++l) {
      std::vector<double> fit;
      for (const auto& use : leaving_[at(m)])
        if (use.line == l && grain(s, use.heap).usable_day > start) fit.push_back(grain(s, use.heap).usable_day);
      std::sort(fit.begin(), fit.end());
      fit.erase(std::unique(fit.begin(), fit.end()), fit.end());
      for (double day : fit) {
        const double need = lp().row_upper[at(need_[at(l)][at(m)])];
        const int ready = row(RuleKind::available, s, m, l, -kNoBound, need * (start + days - day) / days);
        for (const auto& use : leaving_[at(m)])
          if (use.line == l && grain(s, use.heap).usable_day >= day) add(ready, use.column, use.t_equiv);
      }
    }
  }
}

void ProgrammeBuilder::closing_rows(int s) {
  double all = 0;
  for (const auto& [claim, t] : terms_.closing_t) all += t;
  if (!(all > 0)) return;
  const int total = row(RuleKind::closing, s, months_ - 1, -1, all, kNoBound);
  for (const auto& [h, kept] : kept_) add(total, kept, 1);
  for (int i = 0; i < static_cast<int>(terms_.closing_t.size()); ++i) {
    const auto& [claim, t] = terms_.closing_t[at(i)];
    const int missing = column(ColumnKind::closing_short, s, months_ - 1, -1, i, 0, kNoBound, {{CostPart::unmet, terms_.unmet_price}});
    add(total, missing, 1);
    if (claim.empty()) continue;
    const int own = row(RuleKind::closing, s, months_ - 1, i, t, kNoBound);
    add(own, missing, 1);
    for (const auto& [h, kept] : kept_)
      if (carries(heap_terms(h).heap, claim)) add(own, kept, 1);
  }
}

}  // namespace rickyard
