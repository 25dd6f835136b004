#pragma once
// Worked book W (four regions, closed formulas): the season it describes.
#include "planner/rules/all_parameters.h"
#include "planner/season/season.h"

namespace rickyard::test {

/// Regions A-D: 500/400/300/300 ha, harvested 0.97, yield 6.0/6.3/6.6/6.0 t/ha, N 1.48/1.50/1.53/1.50, other failure 5 %,
/// limit 1.65, stop = limit, no floor. The book multiplies the share under the limit by 1 - other failure: the two are independent.
inline Season book_w() {
  Season season{ParameterSet(all_parameters())};
  season.crop_year = 2027;
  season.as_of = Date(2027, 3, 1);
  season.model = ForecastModel::formulas;
  season.seed = 1;
  const char* const names[] = {"a", "b", "c", "d"};
  const double ha[] = {500, 400, 300, 300}, yield[] = {6.0, 6.3, 6.6, 6.0}, n[] = {1.48, 1.50, 1.53, 1.50};
  for (int i = 0; i < 4; ++i) {
    ContractRow row;
    row.region = names[i];
    row.origin = "home";
    row.contract = std::string(names[i]) + "-area";
    row.form = ContractForm::area;
    row.planted_ha = ha[i];
    row.harvested_share = 0.97;
    row.yield_t_ha = yield[i];
    row.typical_n_pct = n[i];
    row.typical_screenings_pct = 4;
    row.typical_other_failure_pct = 5;
    season.contracts.push_back(row);
  }
  season.parameters.set("n_screenings_correlation", 0);
  season.spec.limit_n_pct = 1.65;
  season.spec.stop_n_pct = 1.65;
  return season;
}

}  // namespace rickyard::test
