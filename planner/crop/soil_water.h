#pragma once
// Soil water of one land unit: FAO-56 dual crop coefficient with a surface layer that evaporates, a root zone, and the
// soil below it down to full depth. All stores are in the balance: rain = runoff + ET + drainage + change of the stores.
#include "planner/crop/crop_settings.h"
#include "planner/season/land.h"

namespace rickyard {

/// What does not change from day to day.
struct SoilColumn {
  double wilting = 0, field_capacity = 0, saturation = 0;  // volumetric fractions
  double shallow_m = 0, full_m = 0;                        // root zone in fallow; full depth
  double drain_mm_day = 0;                                 // drainage at saturation
  double evaporation_m = 0, tew_mm = 0, rew_mm = 0;        // surface layer
  double retention = 0;                                    // S of the curve number, mm
  double workable_frac = 0;                                // topsoil water at or under which it can be drilled
};

/// full_m = min(soil's rooting depth, deepest roots), at least the shallow depth.
SoilColumn make_column(const SoilClass& soil, const WaterSettings& water, const SowingSettings& sowing);

/// Readily evaporable water in mm (Allen et al. 2005, from memory): 20 - 0.15 sand % over 80 % sand; 11 - 0.06 clay % over
/// 50 % clay; else 8 + 0.08 clay %; 0.45 TEW where the texture is unknown. At most 0.8 TEW.
double readily_evaporable_mm(const SoilClass& soil, double tew_mm);

struct SoilWater {
  double root_mm = 0, lower_mm = 0;  // water in the two stores
  double root_depth_m = 0;           // boundary between them
  double surface_depletion_mm = 0;   // of the evaporating layer, 0 .. TEW
};

/// Both stores at field capacity, surface wet, root zone shallow.
SoilWater at_field_capacity(const SoilColumn& soil);

/// Moves the boundary between the stores: growing roots take over water at the content of the lower store; a boundary that
/// rises leaves water behind at the content of the root zone.
void move_boundary(const SoilColumn& soil, SoilWater& water, double root_depth_m);

/// What weather and crop ask of the soil on one day.
struct WaterDemand {
  double rain_mm = 0, et0_mm = 0;
  double kcb = 0, ground_cover = 0;
};

struct WaterDay {
  double runoff_mm = 0, evaporation_mm = 0, transpiration_mm = 0, drainage_mm = 0;
  double et_potential_mm = 0;  // of a crop without stress: the soil's evaporation and Kcb ET0
  double ks = 1;
};

/// FAO-56 eq. 84 with the limits 0 and 1.
double water_stress(double depletion_mm, double taw_mm, double p);
/// p of the day: p + 0.04 (5 - ETc), 0.1 .. 0.8.
/// METHODS.md feeds it what the crop asks for, Kcb ET0, without the soil's evaporation: rain that wets the surface must not bring stress.
double depletion_fraction_of_day(double p, double etc_mm);
/// FAO-56 eq. 74 with the limits 0 and 1.
double evaporation_reduction(double surface_depletion_mm, double tew_mm, double rew_mm);
/// FAO-56 eq. 71, at least 0.
double evaporation_coefficient(double kr, double kc_max, double kcb, double exposed_frac);

/// One day, in the order of METHODS.md, "Soil water". Source: FAO-56 chapters 7 and 8; NEH 630 for runoff; drainage above
/// field capacity is slow, so that waterlogged days appear (FAO-56 drains within the day).
WaterDay advance(const SoilColumn& soil, const WaterSettings& settings, const WaterDemand& demand, SoilWater& water);

/// mm below field capacity, at least 0: of the root zone; of the full depth.
double root_depletion_mm(const SoilColumn& soil, const SoilWater& water);
double full_depletion_mm(const SoilColumn& soil, const SoilWater& water);
/// Water fraction of the topsoil (the shallow depth). Water above field capacity lies there until it drains, at most to
/// saturation; below field capacity the root zone's own content counts.
double topsoil_water_frac(const SoilColumn& soil, const SoilWater& water);
/// Saturation less the above: air.
double topsoil_air_frac(const SoilColumn& soil, const SoilWater& water);
/// Water fraction of the layer that is drilled: field capacity less the surface depletion over its depth, plus what the topsoil holds above
/// field capacity.
double drilling_layer_frac(const SoilColumn& soil, const SoilWater& water);

}  // namespace rickyard
