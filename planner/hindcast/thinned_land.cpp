#include "planner/hindcast/thinned_land.h"

namespace rickyard {
namespace {

std::vector<UnitShare> thinned(const std::vector<UnitShare>& units, int n) {
  double total = 0;
  for (const auto& share : units) total += share.ha;
  std::vector<UnitShare> out;
  double passed = 0;
  std::size_t at = 0;
  for (int i = 0; i < n; ++i) {
    const double wanted = (i + 0.5) / n * total;
    while (at + 1 < units.size() && !(passed + units[at].ha > wanted)) passed += units[at++].ha;
    if (out.empty() || out.back().unit != units[at].unit) out.push_back({units[at].unit, 0});
    out.back().ha += total / n;
  }
  return out;
}

}  // namespace

Land thinned_land(const Land& land, int units_per_region) {
  Land out = land;
  if (units_per_region <= 0) return out;
  for (auto& region : out.regions)
    if (region.units.size() > static_cast<std::size_t>(units_per_region)) region.units = thinned(region.units, units_per_region);
  return out;
}

}  // namespace rickyard
