#include "planner/crop/soil_water.h"

#include <algorithm>

#include "planner/weather/runoff.h"

namespace rickyard {
namespace {

constexpr double kMmPerM = 1000;

double workable_share(const SoilClass& soil, const SowingSettings& sowing) {
  const bool textured = soil.sand_frac + soil.clay_frac > 0;
  const bool sandy = textured ? soil.sand_frac >= 0.70 : soil.field_capacity < 0.18;
  const bool clayey = textured ? soil.clay_frac > 0.30 : soil.field_capacity > 0.34;
  if (sandy) return sowing.wetness_sand;
  return clayey ? sowing.wetness_clay : sowing.wetness_loam;
}

// What drains from a store of this depth in a day.
double draining_mm(const SoilColumn& soil, double content_mm, double depth_m) {
  const double excess = content_mm - kMmPerM * soil.field_capacity * depth_m;
  if (!(excess > 0)) return 0;
  return std::min(excess, soil.drain_mm_day * excess / (kMmPerM * (soil.saturation - soil.field_capacity) * depth_m));
}

}  // namespace

double readily_evaporable_mm(const SoilClass& soil, double tew_mm) {
  const double sand_pct = 100 * soil.sand_frac, clay_pct = 100 * soil.clay_frac;
  double rew = 0.45 * tew_mm;
  if (sand_pct + clay_pct > 0) rew = sand_pct > 80 ? 20 - 0.15 * sand_pct : clay_pct > 50 ? 11 - 0.06 * clay_pct : 8 + 0.08 * clay_pct;
  return std::min(rew, 0.8 * tew_mm);
}

SoilColumn make_column(const SoilClass& soil, const WaterSettings& water, const SowingSettings& sowing) {
  SoilColumn column;
  column.wilting = soil.wilting;
  column.field_capacity = soil.field_capacity;
  column.saturation = soil.saturation;
  column.shallow_m = std::min(water.root_min_m, std::max(soil.root_depth_m, water.evaporation_depth_m));
  column.full_m = std::max(std::min(soil.root_depth_m, water.root_max_m), column.shallow_m);
  column.drain_mm_day = std::max(water.drainage_ks_share * soil.ks_mm_day, water.drainage_min_mm_day);
  column.evaporation_m = std::min(water.evaporation_depth_m, column.shallow_m);
  column.tew_mm = kMmPerM * (soil.field_capacity - 0.5 * soil.wilting) * column.evaporation_m;
  column.rew_mm = readily_evaporable_mm(soil, column.tew_mm);
  column.retention = retention_mm(water.curve_number[static_cast<std::size_t>(std::clamp(soil.hydrologic_group, 0, 3))]);
  column.workable_frac = workable_share(soil, sowing) * soil.field_capacity;
  return column;
}

SoilWater at_field_capacity(const SoilColumn& soil) {
  return {kMmPerM * soil.field_capacity * soil.shallow_m, kMmPerM * soil.field_capacity * (soil.full_m - soil.shallow_m), soil.shallow_m,
          0};
}

void move_boundary(const SoilColumn& soil, SoilWater& water, double root_depth_m) {
  const double step = root_depth_m - water.root_depth_m;
  if (step == 0) return;
  double moved = 0;  // from the lower store to the root zone
  if (step > 0)
    moved = root_depth_m >= soil.full_m ? water.lower_mm : water.lower_mm * (step / (soil.full_m - water.root_depth_m));
  else
    moved = water.root_mm * (step / water.root_depth_m);
  water.root_mm += moved;
  water.lower_mm = step > 0 && root_depth_m >= soil.full_m ? 0 : water.lower_mm - moved;
  water.root_depth_m = root_depth_m;
}

double water_stress(double depletion_mm, double taw_mm, double p) {
  return std::clamp((taw_mm - depletion_mm) / ((1 - p) * taw_mm), 0.0, 1.0);
}
double depletion_fraction_of_day(double p, double etc_mm) { return std::clamp(p + 0.04 * (5 - etc_mm), 0.1, 0.8); }
double evaporation_reduction(double surface_depletion_mm, double tew_mm, double rew_mm) {
  return std::clamp((tew_mm - surface_depletion_mm) / (tew_mm - rew_mm), 0.0, 1.0);
}
double evaporation_coefficient(double kr, double kc_max, double kcb, double exposed_frac) {
  return std::max(std::min(kr * (kc_max - kcb), exposed_frac * kc_max), 0.0);
}

WaterDay advance(const SoilColumn& soil, const WaterSettings& settings, const WaterDemand& demand, SoilWater& water) {
  WaterDay day;
  // Rain and runoff, early in the day.
  day.runoff_mm = runoff_mm(demand.rain_mm, soil.retention);
  const double infiltration = demand.rain_mm - day.runoff_mm;
  water.root_mm += infiltration;
  water.surface_depletion_mm = std::max(water.surface_depletion_mm - infiltration, 0.0);

  // Demand: evaporation from the exposed surface, transpiration under stress.
  const double exposed = 1 - demand.ground_cover;
  const double kc_max = std::max(settings.kc_max, demand.kcb + 0.05);
  const double kr = evaporation_reduction(water.surface_depletion_mm, soil.tew_mm, soil.rew_mm);
  const double ke = evaporation_coefficient(kr, kc_max, demand.kcb, exposed);
  const double depth_mm = kMmPerM * water.root_depth_m;
  const double taw_mm = (soil.field_capacity - soil.wilting) * depth_mm;
  const double p = depletion_fraction_of_day(settings.depletion_fraction, demand.kcb * demand.et0_mm);
  day.ks = water_stress(std::max(soil.field_capacity * depth_mm - water.root_mm, 0.0), taw_mm, p);
  const double evaporation_floor_mm = soil.wilting * depth_mm - 0.5 * soil.wilting * kMmPerM * soil.evaporation_m;
  day.evaporation_mm = std::min(
      {ke * demand.et0_mm, exposed * (soil.tew_mm - water.surface_depletion_mm), std::max(water.root_mm - evaporation_floor_mm, 0.0)});
  day.transpiration_mm =
      std::min(day.ks * demand.kcb * demand.et0_mm, std::max(water.root_mm - day.evaporation_mm - soil.wilting * depth_mm, 0.0));
  day.et_potential_mm = day.evaporation_mm + demand.kcb * demand.et0_mm;
  water.root_mm -= day.evaporation_mm + day.transpiration_mm;
  water.surface_depletion_mm = std::min(water.surface_depletion_mm + day.evaporation_mm / exposed, soil.tew_mm);

  // Drainage above field capacity, from below upwards; what the lower store cannot take stays in the root zone.
  const double lower_m = soil.full_m - water.root_depth_m;
  const double percolation = draining_mm(soil, water.root_mm, water.root_depth_m);
  if (lower_m > 0) {
    day.drainage_mm = draining_mm(soil, water.lower_mm, lower_m);
    water.lower_mm -= day.drainage_mm;
    const double taken = std::min(percolation, std::max(kMmPerM * soil.saturation * lower_m - water.lower_mm, 0.0));
    water.root_mm -= taken;
    water.lower_mm += taken;
  } else {
    day.drainage_mm = percolation;
    water.root_mm -= percolation;
  }
  // What a full root zone cannot hold runs off.
  const double overflow = std::max(water.root_mm - soil.saturation * depth_mm, 0.0);
  water.root_mm -= overflow;
  day.runoff_mm += overflow;
  return day;
}

double root_depletion_mm(const SoilColumn& soil, const SoilWater& water) {
  return std::max(kMmPerM * soil.field_capacity * water.root_depth_m - water.root_mm, 0.0);
}
double full_depletion_mm(const SoilColumn& soil, const SoilWater& water) {
  return std::max(kMmPerM * soil.field_capacity * soil.full_m - (water.root_mm + water.lower_mm), 0.0);
}
double topsoil_water_frac(const SoilColumn& soil, const SoilWater& water) {
  const double above_mm = water.root_mm - kMmPerM * soil.field_capacity * water.root_depth_m;
  if (above_mm <= 0) return water.root_mm / (kMmPerM * water.root_depth_m);
  return std::min(soil.field_capacity + above_mm / (kMmPerM * soil.shallow_m), soil.saturation);
}
double topsoil_air_frac(const SoilColumn& soil, const SoilWater& water) { return soil.saturation - topsoil_water_frac(soil, water); }
double drilling_layer_frac(const SoilColumn& soil, const SoilWater& water) {
  const double above = std::max(topsoil_water_frac(soil, water) - soil.field_capacity, 0.0);
  return soil.field_capacity - water.surface_depletion_mm / (kMmPerM * soil.evaporation_m) + above;
}

}  // namespace rickyard
