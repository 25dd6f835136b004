// What each heap holds in one scenario, and what it costs at the gate.
#include <algorithm>
#include <cmath>

#include "planner/sourcing/delivery.h"
#include "planner/sourcing/programme.h"
#include "planner/supply/backups.h"

namespace rickyard {
namespace {

using std::size_t;

// Harvest reaches the store evenly over harvest_spread_days around its mean; days before the plan count in its first month.
std::vector<double> harvest_share(const ProgrammeTerms& terms, double harvest) {
  std::vector<double> share(static_cast<size_t>(terms.months), 0);
  const double spread = terms.season.parameters["harvest_spread_days"], from = harvest - spread / 2, to = harvest + spread / 2;
  for (int m = 0; m < terms.months; ++m) {
    const double start = m == 0 ? -1e9 : day_number(first_day(terms.month(m))), end = day_number(last_day(terms.month(m))) + 1;
    share[static_cast<size_t>(m)] = std::max(0.0, std::min(to, end) - std::max(from, start)) / spread;
  }
  return share;
}

// First month of a delivery year: the month of harvest, or the end of the run of deliveries that reaches it from before (shares in
// May to August belong to the next year's summer when harvest is in August). Harvest itself where every month has a share.
int first_delivery(const ProgrammeTerms& terms, const std::array<double, 12>& shares, int harvest_month) {
  const auto share = [&](int m) { return shares[static_cast<size_t>(terms.month(m).month - 1)]; };
  for (int m = harvest_month; m < harvest_month + 12; ++m)
    if (!(share(m) > 0 && share(m - 1) > 0)) return m;
  return harvest_month;
}

// The row's delivery shares over the twelve months of its delivery year; those before the plan count in its first month.
std::vector<double> delivery_shares(const ProgrammeTerms& terms, const ContractRow& row, int harvest_month) {
  std::vector<double> share(static_cast<size_t>(terms.months), 0);
  const int first = first_delivery(terms, *row.delivery_share, harvest_month);
  for (int m = first; m < first + 12 && m < terms.months; ++m)
    share[static_cast<size_t>(std::max(m, 0))] += (*row.delivery_share)[static_cast<size_t>(terms.month(m).month - 1)];
  return share;
}

void set_quality(const ProgrammeTerms& terms, double n_pct, double screenings_pct, HeapGrain& out) {
  out.n_pct = n_pct;
  out.screenings_pct = screenings_pct;
  const double dressing = dressing_of(terms.yield, screenings_pct);
  for (const auto& line : terms.lines)
    out.equivalent.push_back(output_per_barley(terms.yield, line.unit, n_pct, dressing) / reference_output(terms.yield, line.unit));
}

HeapGrain contract_heap(const ProgrammeTerms& terms, const HeapTerms& heap, const Scenario& scenario) {
  const auto& row = terms.season.contracts[static_cast<size_t>(heap.heap.index)];
  const auto& grain = scenario.contracts[static_cast<size_t>(heap.heap.index)];
  const Delivery d = delivery(terms.season, row, grain);
  HeapGrain out;
  const double harvest = harvest_day(terms, heap.heap.index, scenario);
  const int harvest_month = terms.month_of_day(harvest);
  out.arrival_month = std::max(harvest_month, 0);
  out.usable_day = harvest + terms.season.parameters["dormancy_days"];
  out.first_month = std::max(terms.month_of_day(out.usable_day), 0);
  if (heap.keep == Keep::at_once) {
    const double rejected = d.rejected_t;
    const double accepted_n = grain.qualifying_t > 0 ? grain.n_accepted_pct * grain.qualifying_t : 0;
    set_quality(terms, rejected > 0 ? (grain.n_pct * grain.offered_t - accepted_n) / rejected : 0, grain.screenings_pct, out);
    out.firm_t = rejected;
    return out;
  }
  const auto band = static_cast<size_t>(heap.heap.band);
  set_quality(terms, grain.band_n_pct[band], grain.band_screenings_pct[band], out);
  // Loads are claimed one by one: the mean of what they lie above the free share, not what their mean lies above it.
  out.claim_per_t = n_claim_per_t(terms.claims, out.n_pct) + terms.claims.screenings_claim_per_pct * grain.band_screenings_excess_pct[band];
  if (band < 3) {
    out.firm_t = d.firm_t[band];
    out.over_cap_t = d.over_cap_t[band];
  } else {
    out.over_limit_t = d.over_limit_t;
  }
  out.value_per_t = contract_price(terms, heap.heap.index, std::min(out.arrival_month, terms.months - 1));
  if (heap.keep == Keep::in_store)
    out.arrival_share = row.delivery_share ? delivery_shares(terms, row, harvest_month) : harvest_share(terms, harvest);
  return out;
}

HeapGrain backup_heap(const ProgrammeTerms& terms, const HeapTerms& heap, const Scenario& scenario) {
  const auto& row = terms.season.backups[static_cast<size_t>(heap.heap.index)];
  HeapGrain out;
  set_quality(terms, row.n_pct.value_or(1.55), row.screenings_pct.value_or(4), out);
  out.first_month = heap.first_month;
  out.usable_day = day_number(first_day(terms.month(heap.first_month)));
  out.value_per_t = scenario.backups[static_cast<size_t>(heap.heap.index)].price_per_t * (1 - kReferenceMoisture) /
                    (1 - row.moisture_pct.value_or(100 * kReferenceMoisture) / 100);
  return out;
}

HeapGrain stock_heap(const ProgrammeTerms& terms, const HeapTerms& heap) {
  const auto& row = terms.season.stock[static_cast<size_t>(heap.heap.index)];
  HeapGrain out;
  set_quality(terms, row.n_pct.value_or(kReferenceN), row.screenings_pct.value_or(4), out);
  out.opening_t = to_micro(reference_tonnes(row.tonnes, row.moisture_pct.value_or(100 * kReferenceMoisture)));
  out.usable_day = day_number(row.available_from.value_or(terms.season.as_of));
  out.first_month = std::max(terms.month_of_day(out.usable_day), 0);
  out.value_per_t = terms.market.default_contract_price();
  return out;
}

double& part(std::array<double, kCostParts>& costs, CostPart which) { return costs[static_cast<size_t>(which)]; }

}  // namespace

std::vector<HeapGrain> scenario_grain(const ProgrammeTerms& terms, int s) {
  const auto& scenario = terms.supply.scenarios[static_cast<size_t>(terms.scenario_of[static_cast<size_t>(s)])];
  std::vector<HeapGrain> grain;
  for (const auto& heap : terms.heaps) {
    if (heap.heap.from == Heap::From::contract) grain.push_back(contract_heap(terms, heap, scenario));
    if (heap.heap.from == Heap::From::backup) grain.push_back(backup_heap(terms, heap, scenario));
    if (heap.heap.from == Heap::From::stock) grain.push_back(stock_heap(terms, heap));
  }
  return grain;
}

double contract_price(const ProgrammeTerms& terms, int contract, int month) {
  return contract_price_per_t(terms.season.contracts[static_cast<size_t>(contract)], terms.market.feed_per_t[static_cast<size_t>(month)],
                              terms.market.default_contract_price());
}

BackupPrice backup_price(const ProgrammeTerms& terms, int backup, int month, int s) {
  const auto& row = terms.season.backups[static_cast<size_t>(backup)];
  const double rate = currency_rate(terms.season, row.currency, terms.month(month)),
               to_reference = terms.backups[static_cast<size_t>(backup)].to_reference;
  const double listed = row.price_per_t.value_or(0);
  double rise = 0;  // in the season's currency
  if (s >= 0) {
    const auto& scenario = terms.supply.scenarios[static_cast<size_t>(terms.scenario_of[static_cast<size_t>(s)])];
    rise = scenario.backups[static_cast<size_t>(backup)].price_per_t - mean_currency_rate(terms.season, row.currency) * listed;
  }
  return {(listed * rate + rise) * to_reference, row.freight_per_t.value_or(0) * rate * to_reference};
}

std::array<double, kCostParts> constant_costs(const ProgrammeTerms& terms, const std::vector<HeapGrain>& grain, int s, int contract) {
  const auto& scenario = terms.supply.scenarios[static_cast<size_t>(terms.scenario_of[static_cast<size_t>(s)])];
  std::array<double, kCostParts> costs{};
  for (size_t h = 0; h < terms.heaps.size(); ++h) {
    const auto& heap = terms.heaps[h];
    const auto& g = grain[h];
    if (heap.heap.from != Heap::From::contract || heap.heap.index != contract) continue;
    const double haul = terms.season.contracts[static_cast<size_t>(heap.heap.index)].haul_per_t.value_or(0);
    if (heap.keep == Keep::at_once && g.arrival_month < terms.months) {
      part(costs, CostPart::rejects) += g.firm_t * terms.market.feed_per_t[static_cast<size_t>(g.arrival_month)];
      part(costs, CostPart::freight) += g.firm_t * haul;
    }
    for (size_t m = 0; m < g.arrival_share.size(); ++m) {
      const double t = to_micro(g.firm_t * g.arrival_share[m]);
      part(costs, CostPart::contracts) += t * contract_price(terms, heap.heap.index, static_cast<int>(m));
      part(costs, CostPart::claims) -= t * g.claim_per_t;
      part(costs, CostPart::freight) += t * haul;
    }
  }
  if (contract >= 0) {
    const int m = terms.month_of_day(harvest_day(terms, contract, scenario));
    if (m < terms.months) part(costs, CostPart::contracts) -= settlement(terms, contract, std::max(m, 0), scenario);
    return costs;
  }
  for (size_t b = 0; b < terms.backups.size(); ++b)
    for (int m = 0; m < terms.months; ++m) {
      const double t = terms.backups[b].committed_t[static_cast<size_t>(m)];
      if (t == 0) continue;
      part(costs, CostPart::purchases) += t * committed_price(terms, static_cast<int>(b), m);
      part(costs, CostPart::freight) += t * backup_price(terms, static_cast<int>(b), m, -1).freight;
    }
  return costs;
}

double committed_price(const ProgrammeTerms& terms, int backup, int month) {
  const auto& row = terms.season.backups[static_cast<size_t>(backup)];
  return row.committed_price.value_or(row.price_per_t.value_or(0)) * currency_rate(terms.season, row.currency, terms.month(month)) *
         terms.backups[static_cast<size_t>(backup)].to_reference;
}

double settlement(const ProgrammeTerms& terms, int contract, int month, const Scenario& scenario) {
  const auto& row = terms.season.contracts[static_cast<size_t>(contract)];
  const double missing = delivery(terms.season, row, scenario.contracts[static_cast<size_t>(contract)]).short_t;
  const double gain = spot_price_per_t(terms.season, terms.market, month, scenario.home_shortage) - contract_price(terms, contract, month);
  return missing * row.settled_share.value_or(0.5) * std::max(gain, 0.0);
}

}  // namespace rickyard
