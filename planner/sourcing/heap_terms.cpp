// The heaps of a plan, their order and what each may do; the backups that fill some of them.
#include <algorithm>
#include <cmath>
#include <numeric>

#include "planner/sourcing/delivery.h"
#include "planner/sourcing/programme_terms.h"

namespace rickyard {
namespace {

int last_month_by_age(const ProgrammeTerms& terms, int crop_year) {
  const int cut = month_index({crop_year, terms.season.season_end.month});
  return cut + static_cast<int>(terms.season.parameters["max_age_months"]) - month_index(terms.plan.first);
}

bool approved(const Season& season, const std::string& variety, int crop_year) {
  for (const auto& row : season.varieties)
    if (row.variety == variety && !variety.empty())
      return crop_year >= row.approved_from.value_or(crop_year) && crop_year <= row.approved_to.value_or(crop_year);
  return true;
}

HeapTerms stock_heap(const ProgrammeTerms& terms, int index) {
  const auto& row = terms.season.stock[static_cast<std::size_t>(index)];
  HeapTerms out;
  out.heap = {Heap::From::stock, index,         -1,        row.lot.empty() ? "stock-" + std::to_string(index + 1) : row.lot, row.origin,
              "stock",           row.crop_year, row.claims};
  out.usable = approved(terms.season, row.variety, row.crop_year);
  out.hold_per_t_month = terms.store.cost_per_t_month;
  return out;
}

bool ever_delivers(const ProgrammeTerms& terms, int contract, int band) {
  const auto& row = terms.season.contracts[static_cast<std::size_t>(contract)];
  return std::any_of(terms.scenario_of.begin(), terms.scenario_of.end(), [&](int s) {
    const auto d =
        delivery(terms.season, row, terms.supply.scenarios[static_cast<std::size_t>(s)].contracts[static_cast<std::size_t>(contract)]);
    const auto b = static_cast<std::size_t>(band);
    return band == 3 ? d.over_limit_t > 0 : d.firm_t[b] + d.over_cap_t[b] > 0;
  });
}

std::string contract_name(const ContractRow& row, int index) {
  if (!row.contract.empty()) return row.contract;
  const char* form = row.form == ContractForm::area ? "area" : row.form == ContractForm::area_capped ? "area_capped" : "tonnage";
  return row.region.empty() ? "contract-" + std::to_string(index + 1) : row.region + "-" + form;
}

void contract_heaps(const ProgrammeTerms& terms, int index, std::vector<HeapTerms>& out) {
  const auto& row = terms.season.contracts[static_cast<std::size_t>(index)];
  const auto name = contract_name(row, index), origin = row.origin.empty() ? row.region : row.origin;
  HeapTerms base;
  base.heap = {Heap::From::contract, index, 0, "", origin, name, terms.season.crop_year, row.claims};
  base.keep = row.held == Held::farm && !row.delivery_share ? Keep::on_farm : Keep::in_store;
  base.usable = approved(terms.season, row.variety, terms.season.crop_year);
  base.hold_per_t_month = base.keep == Keep::on_farm ? row.hold_per_t_month.value_or(0)
                          : row.held == Held::store  ? row.hold_per_t_month.value_or(terms.store.cost_per_t_month)
                                                     : terms.store.cost_per_t_month;
  for (int band = 0; band < kBands; ++band) {
    if (!ever_delivers(terms, index, band)) continue;
    base.heap.band = band;
    base.heap.name = name + " n" + std::to_string(band + 1);
    out.push_back(base);
  }
  if (row.reject_rule != RejectRule::feed_price) return;
  base.heap.band = -1;
  base.heap.name = name + " rejects";
  base.keep = Keep::at_once;
  base.usable = false;
  out.push_back(base);
}

void backup_heaps(const ProgrammeTerms& terms, int index, std::vector<HeapTerms>& out) {
  const auto& row = terms.season.backups[static_cast<std::size_t>(index)];
  int before = 0;
  for (int m = 0; m < terms.months; ++m) {
    const int crop_year = backup_crop_year(terms.season, terms.month(m));
    if (m > 0 && crop_year == before) continue;
    before = crop_year;
    HeapTerms heap;
    heap.heap = {Heap::From::backup, index,      -1,        row.source + " " + std::to_string(crop_year),
                 row.origin,         row.source, crop_year, row.claims};
    heap.first_month = m;
    heap.hold_per_t_month = terms.store.cost_per_t_month;
    out.push_back(std::move(heap));
  }
}

// An order for month m falls due at min(decide_by, first of m - lead days).
Date order_due(const BackupRow& row, const Month& month) {
  const Date by_lead = date_of(day_number(first_day(month)) - static_cast<int>(std::ceil(row.lead_days.value_or(0))));
  return row.decide_by ? std::min(*row.decide_by, by_lead) : by_lead;
}

}  // namespace

int backup_crop_year(const Season& season, const Month& month) {
  return month.month >= static_cast<int>(season.parameters["backup_new_crop_month"]) ? month.year : month.year - 1;
}

std::vector<HeapTerms> heap_terms(const ProgrammeTerms& terms) {
  std::vector<HeapTerms> heaps;
  for (int i = 0; i < static_cast<int>(terms.season.stock.size()); ++i) heaps.push_back(stock_heap(terms, i));
  for (int i = 0; i < static_cast<int>(terms.season.contracts.size()); ++i) contract_heaps(terms, i, heaps);
  for (int i = 0; i < static_cast<int>(terms.season.backups.size()); ++i) backup_heaps(terms, i, heaps);
  std::vector<std::size_t> order(heaps.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return heaps[a].heap.crop_year < heaps[b].heap.crop_year; });
  for (std::size_t r = 0; r < order.size(); ++r) heaps[order[r]].rank = static_cast<int>(r);
  for (auto& heap : heaps) heap.last_use_month = heap.usable ? last_month_by_age(terms, heap.heap.crop_year) : -1;
  return heaps;
}

std::vector<BackupTerms> backup_terms(const ProgrammeTerms& terms) {
  std::vector<BackupTerms> out;
  for (std::size_t b = 0; b < terms.season.backups.size(); ++b) {
    const auto& row = terms.season.backups[b];
    BackupTerms backup;
    backup.lost = std::find(terms.patch.backups_lost.begin(), terms.patch.backups_lost.end(), row.source) != terms.patch.backups_lost.end();
    backup.accept_share = row.accept_share.value_or(1);
    backup.cap_t_month = row.cap_t_month.value_or(0) * backup.accept_share;
    if (row.cap_t_season) backup.cap_t_season = *row.cap_t_season * backup.accept_share;
    backup.to_reference = (1 - kReferenceMoisture) / (1 - row.moisture_pct.value_or(100 * kReferenceMoisture) / 100);
    if (row.min_take_kind == MinimumTake::standing && !backup.lost) backup.min_take_t = row.min_take_t.value_or(0);
    backup.lot_t = row.lot_t.value_or(0);
    if (row.min_take_kind == MinimumTake::if_used && !backup.lost) backup.take_if_used_t = row.min_take_t.value_or(0);
    const bool all_months = std::none_of(row.months_available.begin(), row.months_available.end(), [](bool m) { return m; });
    double committed = backup.lost ? 0 : row.committed_t.value_or(0);
    for (int m = 0; m < terms.months; ++m) {
      const Month month = terms.month(m);
      const bool available = all_months || row.months_available[static_cast<std::size_t>(month.month - 1)];
      const double taken = available ? to_micro(std::min(committed, backup.cap_t_month)) : 0;
      committed -= taken;
      const Date due = order_due(row, month);
      backup.committed_t.push_back(taken);
      backup.open.push_back(available && !backup.lost && due >= terms.season.as_of && backup.cap_t_month - taken > 0);
      backup.first_stage.push_back(due <= terms.intake_closed);
      const auto heap = std::find_if(terms.heaps.begin(), terms.heaps.end(), [&](const HeapTerms& h) {
        return h.heap.from == Heap::From::backup && h.heap.index == static_cast<int>(b) &&
               h.heap.crop_year == backup_crop_year(terms.season, month);
      });
      backup.heap.push_back(static_cast<int>(heap - terms.heaps.begin()));
    }
    out.push_back(std::move(backup));
  }
  return out;
}

}  // namespace rickyard
