#include "planner/sourcing/carbon.h"

#include <algorithm>

namespace rickyard {

double contract_carbon(const ProgrammeTerms& terms, int contract) {
  return terms.season.contracts[static_cast<std::size_t>(contract)].kg_co2e_per_t.value_or(0) / 1000;
}

double backup_carbon(const ProgrammeTerms& terms, int backup) {
  return terms.season.backups[static_cast<std::size_t>(backup)].kg_co2e_per_t.value_or(0) / 1000;
}

double largest_carbon_t(const ProgrammeTerms& terms, const std::vector<HeapGrain>& grain) {
  double sum = 0;
  for (std::size_t h = 0; h < terms.heaps.size(); ++h) {
    const auto& heap = terms.heaps[h].heap;
    if (heap.from != Heap::From::contract || heap.band < 0) continue;
    sum += terms.contract_choice[static_cast<std::size_t>(heap.index)].most * contract_carbon(terms, heap.index) *
           (grain[h].firm_t + grain[h].over_cap_t + grain[h].over_limit_t);
  }
  for (std::size_t b = 0; b < terms.backups.size(); ++b)
    for (int m = 0; m < terms.months; ++m)
      sum += backup_carbon(terms, static_cast<int>(b)) * std::max(1.0, terms.largest_cap_factor) * terms.backups[b].cap_t_month;
  return sum + 1;
}

}  // namespace rickyard
