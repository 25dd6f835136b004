#pragma once
// The crop parameters in force, copied out of the parameter set before any loop. Units as in parameters.cpp.
#include <array>

#include "planner/base/parameters.h"

namespace rickyard {

struct StageSettings {
  double base_c, emergence_cd, stem_extension_cd, heading_cd, ripeness_cd;
  double day_length_sensitivity, day_length_full_h;
};

struct LightSettings {
  double full_cover_cd, decline_cd, leaf_area_full, extinction, reference_mj_m2;
};

struct WaterSettings {
  double kcb_initial, kcb_mid, kcb_end, kcb_fallow, kc_max;
  double depletion_fraction, root_min_m, root_max_m, height_m, evaporation_depth_m;
  std::array<double, 4> curve_number;  // soil groups A to D
  double drainage_ks_share, drainage_min_mm_day;
  double field_capacity_slack_mm;
};

struct YieldSettings {
  std::array<double, 3> ky;                                               // to stem extension, to heading, grain fill
  double waterlogged_air_frac, waterlogging_loss, waterlogging_loss_max;  // losses as fractions
  double frost_c, frost_window_cd, frost_loss, frost_loss_max;
  double heat_c, heat_loss;
};

struct SowingSettings {
  double soil_c, soil_weight;
  double wetness_sand, wetness_loam, wetness_clay;
  double rain_max_mm, frozen_c, wet_loss;
};

struct HarvestSettings {
  double rain_max_mm, rain_before_max_mm, humidity_max_pct, window_days, wet_day_mm, loss_per_wet_day, loss_max;
  double moisture_ripe_pct, moisture_max_pct, drying_per_mm, rewet_pct_per_mm, rewet_max_pct;
};

struct CropSettings {
  StageSettings stages;
  LightSettings light;
  WaterSettings water;
  YieldSettings yield;
  SowingSettings sowing;
  HarvestSettings harvest;
  /// InputError where parameters contradict each other (stages out of order, cover that declines after ripeness).
  static CropSettings from(const ParameterSet& parameters);
};

}  // namespace rickyard
