#include "planner/crop/crop_record.h"

#include <utility>

namespace rickyard {

CropRecords CropRecords::with_years(const std::vector<std::size_t>& years) const {
  CropRecords out;
  out.runs = runs;
  for (const std::size_t year : years) out.harvest_years.push_back(harvest_years[year]);
  for (std::size_t r = 0; r < runs.size(); ++r) {
    const std::size_t units = runs[r].units.size();
    out.records.emplace_back(units * years.size());
    if (!balances.empty()) out.balances.emplace_back(units * years.size());
    for (std::size_t y = 0; y < years.size(); ++y)
      for (std::size_t k = 0; k < units; ++k) {
        const std::size_t to = place_of(units, years.size(), y, k), from = place_of(units, harvest_years.size(), years[y], k);
        out.records[r][to] = std::as_const(records[r])[from];
        if (!balances.empty()) out.balances[r][to] = balances[r][from];
      }
  }
  return out;
}

}  // namespace rickyard
