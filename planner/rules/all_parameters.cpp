#include "planner/rules/all_parameters.h"

#include "planner/calibration/parameters.h"
#include "planner/crop/parameters.h"
#include "planner/hindcast/parameters.h"
#include "planner/quality/parameters.h"
#include "planner/rules/parameters.h"
#include "planner/sourcing/parameters.h"
#include "planner/sowing/parameters.h"
#include "planner/supply/parameters.h"
#include "planner/weather/parameters.h"

namespace rickyard {

const std::vector<ParameterSpec>& all_parameters() {
  static const std::vector<ParameterSpec> table = [] {
    std::vector<ParameterSpec> all;
    for (const auto part : {weather_parameters(), crop_parameters(), quality_parameters(), calibration_parameters(), supply_parameters(),
                            sourcing_parameters(), sowing_parameters(), hindcast_parameters(), rules_parameters()})
      all.insert(all.end(), part.begin(), part.end());
    return all;
  }();
  return table;
}

}  // namespace rickyard
