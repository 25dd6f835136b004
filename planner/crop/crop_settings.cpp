#include "planner/crop/crop_settings.h"

#include <fmt/format.h>

#include <initializer_list>

#include "planner/base/problem.h"

namespace rickyard {
namespace {

// Each value must lie above the one named before it.
void require_ascending(const ParameterSet& p, std::initializer_list<const char*> names) {
  const char* before = nullptr;
  for (const char* name : names) {
    if (before && !(p[name] > p[before]))
      throw InputError({{Severity::error, fmt::format("season.toml (parameters.{})", name), fmt::format("{}", p[name]),
                         fmt::format("must be above {} ({})", before, p[before]), "give values in the order of the crop's life"}});
    before = name;
  }
}

}  // namespace

CropSettings CropSettings::from(const ParameterSet& p) {
  require_ascending(p, {"emergence_cd", "stem_extension_cd", "heading_cd", "ripeness_cd"});
  require_ascending(p, {"emergence_cd", "full_cover_cd", "cover_decline_cd", "ripeness_cd"});
  require_ascending(p, {"kcb_initial", "kcb_mid"});
  require_ascending(p, {"kcb_initial", "kc_max"});
  CropSettings s;
  s.stages = {p["base_temperature_c"], p["emergence_cd"],           p["stem_extension_cd"], p["heading_cd"],
              p["ripeness_cd"],        p["day_length_sensitivity"], p["day_length_full_h"]};
  s.light = {p["full_cover_cd"], p["cover_decline_cd"], p["leaf_area_full"], p["light_extinction"], p["light_reference_mj_m2"]};
  s.water = {p["kcb_initial"],
             p["kcb_mid"],
             p["kcb_end"],
             p["kcb_fallow"],
             p["kc_max"],
             p["depletion_fraction"],
             p["root_depth_min_m"],
             p["root_depth_max_m"],
             p["crop_height_m"],
             p["evaporation_depth_m"],
             {p["curve_number_a"], p["curve_number_b"], p["curve_number_c"], p["curve_number_d"]},
             p["drainage_ks_share"],
             p["drainage_min_mm_day"],
             p["field_capacity_slack_mm"]};
  s.yield = {{p["ky_to_stem_extension"], p["ky_to_heading"], p["ky_grain_fill"]},
             p["waterlogged_air_frac"],
             p["waterlogging_loss_pct_day"] / 100,
             p["waterlogging_loss_max_pct"] / 100,
             p["frost_threshold_c"],
             p["frost_window_cd"],
             p["frost_loss_pct_night"] / 100,
             p["frost_loss_max_pct"] / 100,
             p["heat_threshold_c"],
             p["heat_loss_pct_degree_day"] / 100};
  s.sowing = {p["sow_soil_temperature_c"], p["soil_temperature_weight"], p["sow_wetness_sand"], p["sow_wetness_loam"],
              p["sow_wetness_clay"],       p["sow_rain_max_mm"],         p["sow_frozen_c"],     p["sow_wet_loss_pct"] / 100};
  s.harvest = {p["combine_rain_max_mm"],
               p["combine_rain_before_max_mm"],
               p["combine_humidity_max_pct"],
               p["combine_window_days"],
               p["wet_day_mm"],
               p["harvest_loss_pct_wet_day"] / 100,
               p["harvest_loss_max_pct"] / 100,
               p["grain_moisture_ripe_pct"],
               p["combine_moisture_max_pct"],
               p["grain_drying_per_mm"],
               p["grain_rewet_pct_per_mm"],
               p["grain_rewet_max_pct"]};
  return s;
}

}  // namespace rickyard
