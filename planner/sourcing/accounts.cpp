#include "planner/sourcing/accounts.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "planner/sourcing/delivery.h"
#include "planner/supply/contract_grain.h"

namespace rickyard {
namespace {

using std::size_t;

// Stock below this is rounding, not grain.
constexpr double kDust = 2e-5;

class Accounts {
 public:
  Accounts(const ProgrammeTerms& terms, const Programme& programme, const std::vector<double>& value)
      : terms_(terms),
        programme_(programme),
        value_(value),
        result_(result_frame(terms)),
        scenarios_(terms.weight.size()),
        heaps_(terms.heaps.size()),
        months_(static_cast<size_t>(terms.months)) {
    round_tonnes();
  }

  SourcingResult make() {
    close_need();
    for (size_t s = 0; s < scenarios_; ++s)
      for (size_t h = 0; h < heaps_; ++h) heap_account(s, h);
    flows();
    purchases();
    costs();
    contract_accounts();
    warnings();
    return std::move(result_);
  }

 private:
  static constexpr size_t at(int i) { return static_cast<size_t>(i); }
  size_t cell(size_t s, size_t h, size_t m) const { return (s * heaps_ + h) * months_ + m; }

  void round_tonnes();
  void close_need();
  void heap_account(size_t s, size_t h);
  void flows();
  void purchases();
  void costs();
  void contract_accounts();
  void warnings();
  void variety_warnings();
  double bought(size_t s, int backup, int month) const;
  double taken(const HeapGrain& grain, size_t s, int contract) const;

  const ProgrammeTerms& terms_;
  const Programme& programme_;
  std::vector<double> value_;
  SourcingResult result_;
  size_t scenarios_, heaps_, months_;
  std::vector<double> used_, sold_, closing_;                 // [scenario][heap][month]
  std::map<std::pair<int, int>, double> ordered_;             // (backup, month)
  std::vector<std::map<std::pair<int, int>, double>> later_;  // [scenario] (backup, month)
  std::vector<std::map<int, double>> over_cap_, over_limit_;  // [scenario] contract -> fraction
};

void Accounts::round_tonnes() {
  later_.resize(scenarios_);
  over_cap_.resize(scenarios_);
  over_limit_.resize(scenarios_);
  for (size_t j = 0; j < value_.size(); ++j) {
    const auto& c = programme_.columns[j];
    auto& x = value_[j];
    if (c.kind == ColumnKind::over_cap || c.kind == ColumnKind::over_limit) {
      x = std::clamp(x, 0.0, 1.0);
      (c.kind == ColumnKind::over_cap ? over_cap_ : over_limit_)[at(c.scenario)][c.heap] = x;
      continue;
    }
    x = to_micro(std::max(x, 0.0));
    if (c.kind == ColumnKind::order) ordered_[{c.heap, c.month}] = x;
    if (c.kind == ColumnKind::purchase) later_[at(c.scenario)][{c.heap, c.month}] = x;
  }
}

// Rounding leaves some 1e-6 t between need and what covers it: unmet need takes it where there is any, else the largest use.
void Accounts::close_need() {
  const size_t lines = terms_.lines.size();
  std::vector<double> gap(scenarios_ * months_ * lines, 0);
  std::vector<int> largest(gap.size(), -1), unmet(gap.size(), -1);
  for (size_t s = 0; s < scenarios_; ++s)
    for (size_t m = 0; m < months_; ++m)
      for (size_t l = 0; l < lines; ++l)
        gap[(s * months_ + m) * lines + l] = terms_.need_t[l][m] * terms_.supply.scenarios[at(terms_.scenario_of[s])].demand_factor;
  for (size_t j = 0; j < value_.size(); ++j) {
    const auto& c = programme_.columns[j];
    if (c.kind != ColumnKind::flow && c.kind != ColumnKind::unmet) continue;
    const size_t i = (at(c.scenario) * months_ + at(c.month)) * lines + at(c.line);
    if (c.kind == ColumnKind::unmet) {
      unmet[i] = static_cast<int>(j);
    } else {
      gap[i] -= value_[j] * programme_.grain[at(c.scenario)][at(c.heap)].equivalent[at(c.line)];
      if (value_[j] > 0 && (largest[i] < 0 || value_[j] > value_[at(largest[i])])) largest[i] = static_cast<int>(j);
    }
  }
  for (size_t i = 0; i < gap.size(); ++i) {
    if (unmet[i] < 0) continue;
    if (largest[i] < 0 || (value_[at(unmet[i])] > kDust && gap[i] > 0)) {
      value_[at(unmet[i])] = std::max(gap[i], 0.0);
    } else {
      const auto& c = programme_.columns[at(largest[i])];
      value_[at(unmet[i])] = 0;
      value_[at(largest[i])] += gap[i] / programme_.grain[at(c.scenario)][at(c.heap)].equivalent[at(c.line)];
    }
  }
  used_.assign(scenarios_ * heaps_ * months_, 0);
  sold_ = closing_ = used_;
  for (size_t j = 0; j < value_.size(); ++j) {
    const auto& c = programme_.columns[j];
    if (c.kind == ColumnKind::flow) used_[cell(at(c.scenario), at(c.heap), at(c.month))] += value_[j];
    if (c.kind == ColumnKind::sold) sold_[cell(at(c.scenario), at(c.heap), at(c.month))] += value_[j];
  }
}

double Accounts::bought(size_t s, int backup, int month) const {
  double t = terms_.backups[at(backup)].committed_t[at(month)];
  if (const auto found = ordered_.find({backup, month}); found != ordered_.end()) t += found->second;
  if (const auto found = later_[s].find({backup, month}); found != later_[s].end()) t += found->second;
  return t;
}

// Tonnes of a contract heap in a scenario: the duty and what is taken beyond it.
double Accounts::taken(const HeapGrain& grain, size_t s, int contract) const {
  const auto fraction = [&](const std::map<int, double>& of) {
    const auto found = of.find(contract);
    return found == of.end() ? 0.0 : found->second;
  };
  return grain.firm_t + fraction(over_cap_[s]) * grain.over_cap_t + fraction(over_limit_[s]) * grain.over_limit_t;
}

void Accounts::heap_account(size_t s, size_t h) {
  const auto& heap = terms_.heaps[h];
  const auto& g = programme_.grain[s][h];
  double opening = g.opening_t;
  for (size_t m = 0; m < months_; ++m) {
    StockFigure f{static_cast<int>(s),
                  static_cast<int>(h),
                  terms_.month(static_cast<int>(m)),
                  opening,
                  0,
                  used_[cell(s, h, m)],
                  0,
                  sold_[cell(s, h, m)],
                  0};
    if (heap.heap.from == Heap::From::backup) {
      if (terms_.backups[at(heap.heap.index)].heap[m] == static_cast<int>(h))
        f.arrivals_t = bought(s, heap.heap.index, static_cast<int>(m));
    } else if (heap.heap.from == Heap::From::contract) {
      const double all = taken(g, s, heap.heap.index);
      if (heap.keep == Keep::in_store) {
        f.arrivals_t = to_micro(g.firm_t * g.arrival_share[m]) + (all - g.firm_t) * g.arrival_share[m];
      } else if (static_cast<int>(m) == g.arrival_month) {
        f.arrivals_t = all;
      }
    }
    if (heap.keep == Keep::in_store) f.lost_t = terms_.store.loss_month * opening;
    f.closing_t = opening + f.arrivals_t - f.used_t - f.lost_t - f.sold_t;
    if (std::abs(f.closing_t) < kDust) {
      f.lost_t += f.closing_t;
      f.closing_t = 0;
    }
    if (f.opening_t != 0 || f.arrivals_t != 0 || f.used_t != 0 || f.sold_t != 0 || f.closing_t != 0) result_.stock.push_back(f);
    closing_[cell(s, h, m)] = opening = f.closing_t;
  }
}

void Accounts::flows() {
  for (size_t j = 0; j < value_.size(); ++j) {
    const auto& c = programme_.columns[j];
    if (!(value_[j] > 0)) continue;
    if (c.kind == ColumnKind::unmet) result_.unmet.push_back({c.scenario, c.line, terms_.month(c.month), value_[j]});
    if (c.kind != ColumnKind::flow) continue;
    const auto& g = programme_.grain[at(c.scenario)][at(c.heap)];
    result_.flows.push_back({c.scenario, c.heap, c.line, terms_.month(c.month), value_[j], value_[j] * g.equivalent[at(c.line)], g.n_pct});
  }
  const auto key = [](const auto& f) { return std::tuple(f.scenario, f.month, f.line); };
  std::stable_sort(result_.flows.begin(), result_.flows.end(),
                   [&](const Flow& a, const Flow& b) { return std::tuple(key(a), a.heap) < std::tuple(key(b), b.heap); });
  std::stable_sort(result_.unmet.begin(), result_.unmet.end(), [&](const UnmetFigure& a, const UnmetFigure& b) { return key(a) < key(b); });
}

void Accounts::purchases() {
  for (size_t s = 0; s < scenarios_; ++s)
    for (int b = 0; b < static_cast<int>(terms_.backups.size()); ++b)
      for (int m = 0; m < terms_.months; ++m) {
        const auto scenario = static_cast<int>(s);
        const double committed = terms_.backups[at(b)].committed_t[at(m)];
        if (committed > 0) result_.purchases.push_back({scenario, b, terms_.month(m), committed, committed_price(terms_, b, m), true});
        const double rest = bought(s, b, m) - committed;
        const bool first = ordered_.contains({b, m});
        if (rest > 0)
          result_.purchases.push_back(
              {scenario, b, terms_.month(m), to_micro(rest), backup_price(terms_, b, m, first ? -1 : scenario).grain, first});
      }
}

void Accounts::costs() {
  auto costs = programme_.constants;
  for (size_t j = 0; j < value_.size(); ++j) {
    const auto& c = programme_.columns[j];
    const double x = c.kind == ColumnKind::stock || c.kind == ColumnKind::left_on_farm
                         ? closing_[cell(at(c.scenario), at(c.heap), at(c.month))]
                         : value_[j];
    for (int i = 0; i < c.cost_terms; ++i) {
      const auto& term = c.costs[at(i)];
      for (size_t s = c.scenario < 0 ? 0 : at(c.scenario); s < (c.scenario < 0 ? scenarios_ : at(c.scenario) + 1); ++s)
        costs[s][static_cast<size_t>(term.part)] += term.per_unit * x;
    }
  }
  for (size_t s = 0; s < scenarios_; ++s)
    for (int p = 0; p < kCostParts; ++p) {
      result_.costs.push_back({static_cast<int>(s), static_cast<CostPart>(p), costs[s][at(p)]});
      result_.objective += terms_.weight[s] * costs[s][at(p)];
    }
}

// A contract's own money: grain at its price less claims and what the grower pays for missing tonnes.
void Accounts::contract_accounts() {
  const size_t contracts = terms_.season.contracts.size();
  std::vector<ContractAccount> accounts(scenarios_ * contracts);
  for (size_t s = 0; s < scenarios_; ++s)
    for (size_t c = 0; c < contracts; ++c) {
      const auto& scenario = terms_.supply.scenarios[at(terms_.scenario_of[s])];
      const auto d = delivery(terms_.season, terms_.season.contracts[c], scenario.contracts[c]);
      auto& account = accounts[s * contracts + c];
      account.scenario = static_cast<int>(s);
      account.contract = static_cast<int>(c);
      account.made_good_t = d.made_good_t;
      account.delivered_t = d.rejected_t;
      const int m = terms_.month_of_day(harvest_day(terms_, static_cast<int>(c), scenario));
      if (m < terms_.months) account.cost -= settlement(terms_, static_cast<int>(c), std::max(m, 0), scenario);
    }
  for (size_t s = 0; s < scenarios_; ++s)
    for (size_t h = 0; h < heaps_; ++h) {
      const auto& heap = terms_.heaps[h].heap;
      if (heap.from != Heap::From::contract || heap.band < 0) continue;
      const auto& g = programme_.grain[s][h];
      auto& account = accounts[s * contracts + at(heap.index)];
      const double t = taken(g, s, heap.index);
      account.accepted_t += t;
      if (heap.band < 3) account.delivered_t += t;  // band 3 is among the rejected already
      for (size_t m = 0; m < months_; ++m) {
        double paid = 0;
        if (terms_.heaps[h].keep == Keep::in_store) {
          paid = to_micro(g.firm_t * g.arrival_share[m]) + (t - g.firm_t) * g.arrival_share[m];
        } else {
          paid = used_[cell(s, h, m)] + sold_[cell(s, h, m)] + (m + 1 == months_ ? closing_[cell(s, h, m)] : 0);
        }
        account.cost += paid * (contract_price(terms_, heap.index, static_cast<int>(m)) - g.claim_per_t);
      }
    }
  result_.accounts = std::move(accounts);
}

// With hectares fixed, caps and approvals of varieties are facts to report; unapproved grain serves no line.
void Accounts::variety_warnings() {
  for (const auto& variety : terms_.season.varieties) {
    double own = 0, all = 0;
    for (const auto& row : terms_.season.contracts) {
      all += planted_ha_of(row);
      if (row.variety != variety.variety) continue;
      own += planted_ha_of(row);
      if (terms_.season.crop_year < variety.approved_from.value_or(terms_.season.crop_year) ||
          terms_.season.crop_year > variety.approved_to.value_or(terms_.season.crop_year))
        result_.warnings.push_back("variety " + row.variety + " of contract " + row.contract + " is not approved for crop " +
                                   std::to_string(terms_.season.crop_year) + ": its grain serves no line");
    }
    if (variety.share_cap && all > 0 && own / all > *variety.share_cap + 1e-9)
      result_.warnings.push_back("variety " + variety.variety + " stands on " + std::to_string(std::lround(100 * own / all)) +
                                 " % of the contracted hectares, over its cap of " + std::to_string(std::lround(100 * *variety.share_cap)) +
                                 " %");
  }
}

void Accounts::warnings() {
  variety_warnings();
  if (std::isfinite(terms_.store.bins))
    for (size_t m = 0; m < months_; ++m) {
      int most = 0;
      for (size_t s = 0; s < scenarios_; ++s) {
        int in_use = 0;
        for (size_t h = 0; h < heaps_; ++h) in_use += terms_.heaps[h].keep == Keep::in_store && closing_[cell(s, h, m)] > kDust ? 1 : 0;
        most = std::max(most, in_use);
      }
      if (most > terms_.store.bins)
        result_.warnings.push_back("in " + to_text(terms_.month(static_cast<int>(m))) + " up to " + std::to_string(most) +
                                   " heaps lie in store, which has " + std::to_string(std::lround(terms_.store.bins)) + " bins");
    }
  std::vector<double> missing(terms_.closing_t.size(), 0);
  for (size_t j = 0; j < value_.size(); ++j)
    if (programme_.columns[j].kind == ColumnKind::closing_short)
      missing[at(programme_.columns[j].line)] += terms_.weight[at(programme_.columns[j].scenario)] * value_[j];
  for (size_t i = 0; i < missing.size(); ++i)
    if (missing[i] > 0.5)
      result_.warnings.push_back("closing stock of " +
                                 (terms_.closing_t[i].first.empty() ? std::string("any grain") : terms_.closing_t[i].first) + " is " +
                                 std::to_string(std::lround(missing[i])) + " t short of " +
                                 std::to_string(std::lround(terms_.closing_t[i].second)) + " t on average; priced like unmet need");
}

}  // namespace

std::vector<double> unmet_by_scenario(const SourcingResult& result) {
  std::vector<double> unmet(result.weight.size(), 0);
  for (const auto& figure : result.unmet) unmet[static_cast<size_t>(figure.scenario)] += figure.t_equiv;
  return unmet;
}

SourcingResult result_frame(const ProgrammeTerms& terms) {
  SourcingResult result;
  result.scenario_of = terms.scenario_of;
  result.weight = terms.weight;
  for (const auto& line : terms.lines) result.lines.push_back(line.line);
  for (int m = 0; m < terms.months; ++m) result.months.push_back(terms.month(m));
  result.intake_closed = terms.intake_closed;
  for (const auto& heap : terms.heaps) result.heaps.push_back(heap.heap);
  return result;
}

SourcingResult make_result(const ProgrammeTerms& terms, const Programme& programme, const std::vector<double>& value) {
  return Accounts(terms, programme, value).make();
}

}  // namespace rickyard
