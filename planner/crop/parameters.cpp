#include "planner/crop/parameters.h"

#include <array>

namespace rickyard {
namespace {

constexpr std::string_view kJudged = "chosen so that the model runs; replace by your own records";

constexpr std::array kTable = {
    // Stages
    ParameterSpec{"base_temperature_c", 0, "C", -5, 10, "seen", "degree-day method 1: the mean is floored at the base",
                  "thermal time counts degrees above this"},
    ParameterSpec{"emergence_cd", 130, "C d", 20, 400, "memory", "extension guide, 109 to 145", "thermal time from sowing to emergence"},
    ParameterSpec{"stem_extension_cd", 500, "C d", 100, 1500, "memory", "extension guide, 489 to 555",
                  "thermal time from sowing to stem extension"},
    ParameterSpec{"heading_cd", 850, "C d", 200, 2500, "memory", "738 to 1,350 in public studies", "thermal time from sowing to heading"},
    ParameterSpec{"ripeness_cd", 1500, "C d", 500, 4000, "memory", "1,100 to 1,550 in public studies",
                  "thermal time from sowing to ripeness"},
    ParameterSpec{"day_length_sensitivity", 0, "1/h", 0, 0.3, "judgement", "neutral by default",
                  "share of development lost per hour of day length below day_length_full_h, sowing to heading"},
    ParameterSpec{"day_length_full_h", 16, "h", 8, 24, "judgement", kJudged, "day length from which development runs at full speed"},
    // Light
    ParameterSpec{"full_cover_cd", 550, "C d", 100, 2000, "judgement", kJudged, "thermal time from sowing to full leaf cover"},
    ParameterSpec{"cover_decline_cd", 1100, "C d", 200, 3000, "judgement", kJudged,
                  "thermal time from sowing at which leaf cover begins to decline"},
    ParameterSpec{"leaf_area_full", 5, "1", 1, 10, "judgement", kJudged, "leaf area per ground area at full cover"},
    ParameterSpec{"light_extinction", 0.5, "1", 0.2, 1, "judgement", "0.4 to 0.6 in cereals", "extinction of light in the leaves"},
    ParameterSpec{"light_reference_mj_m2", 500, "MJ/m2", 1, 5000, "derived", "a scale; the anchor takes it out",
                  "intercepted light that counts as duration 1"},
    // Soil water
    ParameterSpec{"kcb_initial", 0.15, "1", 0, 1, "seen", "FAO-56 Table 17 in a transcription", "basal crop coefficient at emergence"},
    ParameterSpec{"kcb_mid", 1.10, "1", 0.5, 1.5, "seen", "FAO-56 Table 17 in a transcription", "basal crop coefficient at full cover"},
    ParameterSpec{"kcb_end", 0.15, "1", 0, 1, "seen", "FAO-56 Table 17 in a transcription",
                  "basal crop coefficient at ripeness and until harvest"},
    ParameterSpec{"kcb_fallow", 0.10, "1", 0, 1, "judgement", "weeds and volunteers on stubble",
                  "basal coefficient from harvest to emergence"},
    ParameterSpec{"kc_max", 1.20, "1", 1, 1.4, "memory", "FAO-56 eq. 72 at 2 m/s and 45 % humidity", "largest crop coefficient after rain"},
    ParameterSpec{"depletion_fraction", 0.55, "1", 0.1, 0.8, "seen", "FAO-56 Table 22 in a transcription",
                  "share of total available water used before stress, at 5 mm/d"},
    ParameterSpec{"root_depth_min_m", 0.3, "m", 0.15, 1, "practice", "seedling roots and plough layer",
                  "root depth at emergence and depth of the upper store in fallow"},
    ParameterSpec{"root_depth_max_m", 1.0, "m", 0.3, 2, "seen", "FAO-56 Table 22, lower end; 0.6 to 1.5",
                  "deepest roots, reached at heading"},
    ParameterSpec{"crop_height_m", 1.0, "m", 0.3, 2, "seen", "FAO-56 Table 12 in a transcription", "height at full cover"},
    ParameterSpec{"evaporation_depth_m", 0.10, "m", 0.05, 0.15, "memory", "FAO-56, 0.10 to 0.15",
                  "depth of the layer that dries by evaporation"},
    ParameterSpec{"curve_number_a", 63, "1", 30, 100, "seen", "NEH 630 Table 9-1, straight row, good", "curve number of soil group A"},
    ParameterSpec{"curve_number_b", 75, "1", 30, 100, "seen", "NEH 630 Table 9-1, straight row, good", "curve number of soil group B"},
    ParameterSpec{"curve_number_c", 83, "1", 30, 100, "seen", "NEH 630 Table 9-1, straight row, good", "curve number of soil group C"},
    ParameterSpec{"curve_number_d", 87, "1", 30, 100, "seen", "NEH 630 Table 9-1, straight row, good", "curve number of soil group D"},
    ParameterSpec{"drainage_ks_share", 0.012, "1", 0.0001, 1, "judgement",
                  "a field passes far less than a core in the laboratory: 4.5 mm/d on loam, near what drains are laid for",
                  "share of saturated conductivity at which water above field capacity drains"},
    ParameterSpec{"drainage_min_mm_day", 2.5, "mm/d", 0, 50, "judgement", "farmed clay has drains", "least drainage of a saturated soil"},
    // Yield
    ParameterSpec{"ky_to_stem_extension", 0.30, "1", 0, 1.5, "memory", "spring wheat; 0.50 seen for barley in a dry plain",
                  "yield response to water, emergence to stem extension"},
    ParameterSpec{"ky_to_heading", 0.65, "1", 0, 1.5, "memory", "spring wheat; 0.82 seen for barley in a dry plain",
                  "yield response to water, stem extension to heading"},
    ParameterSpec{"ky_grain_fill", 0.55, "1", 0, 1.5, "memory", "spring wheat; 0.75 seen for barley in a dry plain",
                  "yield response to water, heading to ripeness"},
    ParameterSpec{"waterlogged_air_frac", 0.08, "m3/m3", 0, 0.2, "judgement", kJudged,
                  "air in the upper store under which a day is waterlogged"},
    ParameterSpec{"waterlogging_loss_pct_day", 0.7, "%/d", 0, 3, "judgement", "0.3 to 1.5",
                  "yield lost per waterlogged day, emergence to heading"},
    ParameterSpec{"waterlogging_loss_max_pct", 30, "%", 0, 100, "judgement", kJudged, "most that waterlogging takes"},
    ParameterSpec{"frost_threshold_c", -1, "C", -6, 2, "seen", "extension services: flowering harmed at -1 C",
                  "lowest temperature at or under which a night near heading does harm"},
    ParameterSpec{"frost_window_cd", 100, "C d", 0, 500, "judgement", kJudged, "nights within this thermal time of heading are near it"},
    ParameterSpec{"frost_loss_pct_night", 5, "%/night", 0, 50, "judgement", kJudged, "yield lost per such night"},
    ParameterSpec{"frost_loss_max_pct", 40, "%", 0, 100, "judgement", kJudged, "most that frost takes"},
    ParameterSpec{"heat_threshold_c", 28, "C", 20, 40, "judgement", kJudged, "highest temperature over which grain fill suffers"},
    ParameterSpec{"heat_loss_pct_degree_day", 1.5, "%/(C d)", 0, 10, "judgement", "0.5 to 3",
                  "yield lost per degree-day over the threshold, heading to ripeness"},
    // Sowing
    ParameterSpec{"sow_soil_temperature_c", 5, "C", 0, 12, "seen", "farm press: 5 C and rising",
                  "soil temperature wanted three days running"},
    ParameterSpec{"soil_temperature_weight", 0.2, "1", 0.02, 1, "judgement", "about five days of memory at 10 cm",
                  "weight of the day's mean air temperature in the soil temperature proxy"},
    ParameterSpec{"sow_wetness_sand", 1.00, "1", 0.5, 1.2, "practice", "common practice, no source",
                  "wettest workable topsoil as a share of field capacity: at least 70 % sand"},
    ParameterSpec{"sow_wetness_loam", 0.95, "1", 0.5, 1.2, "practice", "common practice, no source", "the same: all other soils"},
    ParameterSpec{"sow_wetness_clay", 0.90, "1", 0.5, 1.2, "practice", "common practice, no source",
                  "the same: over 30 % clay and under 70 % sand"},
    ParameterSpec{"sow_rain_max_mm", 2, "mm", 0, 20, "practice", "common practice, no source", "rain of a workable day stays under this"},
    ParameterSpec{"sow_frozen_c", 0, "C", -10, 5, "practice", "common practice, no source",
                  "a day whose mean air temperature is at or under this counts as frozen"},
    ParameterSpec{"sow_wait_days", 30, "d", 0, 150, "practice", "planted-area declarations close on 30 April",
                  "days after the planned date on which the crop is sown whatever the soil, where a contract gives no latest date"},
    ParameterSpec{"sow_wet_loss_pct", 10, "%", 0, 50, "seen", "one demonstration: 5 to 15, up to 22",
                  "yield lost by sowing on a day that is not workable"},
    // Harvest
    ParameterSpec{"combine_rain_max_mm", 1, "mm", 0, 10, "memory", "trade habit", "rain of a combine day stays under this"},
    ParameterSpec{"combine_rain_before_max_mm", 4, "mm", 0, 30, "memory", "trade habit", "rain of the day before stays under this"},
    ParameterSpec{"combine_humidity_max_pct", 80, "%", 50, 100, "memory", "trade habit",
                  "mean relative humidity of a combine day stays under this"},
    ParameterSpec{"combine_window_days", 30, "d", 1, 90, "judgement", "grain left longer is of little use to a maltster",
                  "days after ripeness in which combine days are counted"},
    ParameterSpec{"wet_day_mm", 1, "mm", 0.1, 10, "practice", "common practice, no source",
                  "rain from which a day between ripeness and harvest counts as wet"},
    ParameterSpec{"harvest_loss_pct_wet_day", 0.3, "%/d", 0, 5, "judgement", "shed and lodged grain",
                  "yield lost per wet day between ripeness and harvest"},
    ParameterSpec{"harvest_loss_max_pct", 15, "%", 0, 100, "judgement", kJudged, "most that a late harvest takes"},
    ParameterSpec{"field_capacity_slack_mm", 5, "mm", 0, 50, "judgement", kJudged,
                  "deficit at or under which field capacity counts as regained"},
};

}  // namespace

std::span<const ParameterSpec> crop_parameters() { return kTable; }

}  // namespace rickyard
