#include "planner/hindcast/thinned_land.h"

#include <algorithm>
#include <map>

namespace rickyard {
namespace {

// Water that the soil of a unit can give to roots, mm.
double available_mm(const Land& land, const UnitShare& share) {
  const auto& soil = land.soils[static_cast<std::size_t>(land.units[static_cast<std::size_t>(share.unit)].soil)];
  return 1000 * (soil.field_capacity - soil.wilting) * soil.root_depth_m;
}

std::vector<UnitShare> thinned(const Land& land, std::vector<UnitShare> units, int n) {
  // By soil first, so that every kind is there with its share, and inside it over the region from end to end.
  std::stable_sort(units.begin(), units.end(),
                   [&](const UnitShare& a, const UnitShare& b) { return available_mm(land, a) < available_mm(land, b); });
  double total = 0;
  for (const auto& share : units) total += share.ha;
  std::map<int, double> ha;
  double passed = 0;
  std::size_t at = 0;
  for (int i = 0; i < n; ++i) {
    const double wanted = (i + 0.5) / n * total;
    while (at + 1 < units.size() && !(passed + units[at].ha > wanted)) passed += units[at++].ha;
    ha[units[at].unit] += total / n;
  }
  std::vector<UnitShare> out;
  for (const auto& [unit, hectares] : ha) out.push_back({unit, hectares});
  return out;
}

}  // namespace

Land thinned_land(const Land& land, int units_per_region) {
  Land out = land;
  if (units_per_region <= 0) return out;
  for (auto& region : out.regions)
    if (region.units.size() > static_cast<std::size_t>(units_per_region))
      region.units = thinned(land, std::move(region.units), units_per_region);
  return out;
}

}  // namespace rickyard
