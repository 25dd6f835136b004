#include "planner/crop/field_season.h"

#include <algorithm>
#include <cmath>

#include "planner/weather/et0.h"

namespace rickyard {
namespace {

std::int16_t day_mark(int season_day) { return static_cast<std::int16_t>(season_day); }
bool growing(Phase phase) { return phase == Phase::leaves || phase == Phase::stem || phase == Phase::grain_fill; }

// Thermal time from the day after sowing until ripeness, and the light caught by a growing crop.
void grow_on(const CropSettings& settings, double thermal_factor, int season_day, const FieldWeather& weather, Development& crop) {
  if (crop.sown < 0 || season_day < crop.sown || crop.phase == Phase::ripe) return;
  if (season_day == crop.sown) {
    crop.phase = Phase::sown;
    return;
  }
  const double speed = crop.phase < Phase::grain_fill ? day_length_factor(settings.stages, weather.daylight_h) : 1;
  crop.thermal_units += thermal_units(weather.warmth, settings.stages.base_c) * speed;
  crop.thermal_cd = crop.thermal_units / (kThermalUnitsPerDegreeDay * thermal_factor);
  crop.phase = phase_at(settings.stages, crop.thermal_cd);
  if (!growing(crop.phase)) return;
  crop.light_mj += weather.radiation_mj * light_intercepted(settings.light, cover_share(settings.stages, settings.light, crop.thermal_cd));
}

}  // namespace

FieldSeason::FieldSeason(const SoilColumn& soil, const SoilWater& start, const SeasonWindow& window, const FieldPlan& plan)
    : soil_(soil), water_(start), start_(start), window_(window), plan_(plan) {}

// Whether drilling has come to this part of the area: it starts on the first day on or after the planned one that is the second workable
// day in a row, and goes on over workable days.
bool FieldSeason::drill_reaches(int season_day) {
  if (season_day < plan_.planned || watch_.workable == 0) return false;
  if (workable_of_drilling_ == 0 && watch_.workable < 2) return false;
  return ++workable_of_drilling_ >= plan_.drilled_after;
}

// Sown when drilling comes to it, on the known date where one is given, or after the wait, whatever the soil.
void FieldSeason::sow_if_fit(const CropSettings& settings, int season_day, const FieldWeather& weather) {
  const double mean_c = weather.warmth / 200.0;
  soil_c_ = season_day == window_.begin ? mean_c : soil_temperature_next(soil_c_, mean_c, settings.sowing.soil_weight);
  workable_ = false;
  if (season_day == plan_.planned) planned_crop_.sown = season_day;
  if (record_.sown >= 0) return;
  workable_ = watch_day(settings.sowing, soil_c_, mean_c, weather.rain_mm, drilling_layer_frac(soil_, water_), soil_.workable_frac, watch_);
  const bool reached = drill_reaches(season_day);
  const bool due = plan_.sown_on >= 0 ? season_day == plan_.sown_on : reached || season_day == plan_.planned + plan_.wait_days;
  if (!due) return;
  record_.sown = day_mark(season_day);
  record_.sowing_factor = workable_ ? 1 : 1 - settings.sowing.wet_loss;
  crop_.sown = season_day;
}

// A stage is reached on the day whose thermal time reaches it.
void FieldSeason::develop(const CropSettings& settings, int season_day, const FieldWeather& weather) {
  grow_on(settings, plan_.thermal_factor, season_day, weather, planned_crop_);
  if (record_.ripe >= 0) return;
  grow_on(settings, plan_.thermal_factor, season_day, weather, crop_);
  if (record_.emerged < 0 && crop_.phase >= Phase::leaves) record_.emerged = day_mark(season_day);
  if (record_.stem_extension < 0 && crop_.phase >= Phase::stem) record_.stem_extension = day_mark(season_day);
  if (record_.heading < 0 && crop_.phase >= Phase::grain_fill) record_.heading = day_mark(season_day);
  if (crop_.phase == Phase::ripe) record_.ripe = day_mark(season_day);
}

// Heat in grain fill and frost near heading of a growing crop.
void FieldSeason::suffer_extremes(const CropSettings& settings, const FieldWeather& weather) {
  const auto& rules = settings.yield;
  if (crop_.phase == Phase::grain_fill) record_.heat_degree_days += std::max(weather.tmax_c - rules.heat_c, 0.0);
  const bool near_heading = std::abs(crop_.thermal_cd - settings.stages.heading_cd) <= rules.frost_window_cd;
  if (near_heading && weather.tmin_c <= rules.frost_c) ++record_.frost_nights;
}

// Rain wets standing grain; air dries it towards the moisture it would settle at.
void FieldSeason::dry_grain(const HarvestSettings& rules, const FieldWeather& weather, double humidity_pct) {
  const double wetted = std::min(grain_moisture_pct_ + rules.rewet_pct_per_mm * weather.rain_mm, rules.rewet_max_pct);
  const double wet = std::max(grain_moisture_pct_, wetted);
  const double settled = equilibrium_moisture_pct(weather.warmth / 200.0, humidity_pct);
  grain_moisture_pct_ = settled + (wet - settled) * std::exp(-rules.drying_per_mm * weather.et0_mm);
}

// After ripeness: the grain dries; the first combine day, the rain until then, and the combine days of the window. Grain that no combine
// day reaches is cut wet on the window's last day.
void FieldSeason::ripen(const CropSettings& settings, int season_day, const FieldWeather& weather) {
  const auto& rules = settings.harvest;
  if (season_day == record_.ripe) grain_moisture_pct_ = rules.moisture_ripe_pct;
  const bool standing = record_.harvested < 0, in_window = season_day <= record_.ripe + rules.window_days;
  if (record_.ripe < 0 || season_day == record_.ripe || (!standing && !in_window)) return;
  const double vapour_kpa = weather.vapour_kpa >= 0 ? weather.vapour_kpa : saturation_vapour_pressure(weather.tmin_c);
  const double humidity_pct = 100 * std::min(vapour_kpa / mean_saturation_vapour_pressure(weather.tmin_c, weather.tmax_c), 1.0);
  dry_grain(rules, weather, humidity_pct);
  const bool fit =
      combine_day(rules, weather.rain_mm, weather.rain_before_mm, humidity_pct) && grain_moisture_pct_ <= rules.moisture_max_pct;
  if (fit && in_window) ++record_.combine_days;
  if (!standing) return;
  if (fit || season_day >= record_.ripe + rules.window_days) {
    record_.harvested = day_mark(season_day);
    record_.grain_moisture_pct = grain_moisture_pct_;
    return;
  }
  record_.rain_harvest_mm += weather.rain_mm;
  record_.wet_days_harvest += weather.rain_mm >= rules.wet_day_mm ? 1 : 0;
}

void FieldSeason::keep_balance(const CropSettings& settings, int season_day, const FieldWeather& weather, const WaterDay& water) {
  record_.rain_mm += weather.rain_mm;
  balance_.et_mm += water.evaporation_mm + water.transpiration_mm;
  balance_.runoff_mm += water.runoff_mm;
  balance_.drainage_mm += water.drainage_mm;
  if (season_day > window_.winter_end && season_day <= window_.summer_end) record_.rain_apr_jul_mm += weather.rain_mm;
  if (season_day < window_.autumn) return;
  const double depletion = full_depletion_mm(soil_, water_);
  if (season_day == window_.autumn) balance_.deficit_oct1_mm = depletion;
  if (balance_.field_capacity_regained < 0 && depletion <= settings.water.field_capacity_slack_mm)
    balance_.field_capacity_regained = day_mark(season_day);
  if (season_day <= window_.winter_end) record_.drainage_winter_mm += water.drainage_mm;
}

void FieldSeason::day(const CropSettings& settings, int season_day, const FieldWeather& weather) {
  sow_if_fit(settings, season_day, weather);
  develop(settings, season_day, weather);

  WaterDemand demand{weather.rain_mm, weather.et0_mm, settings.water.kcb_fallow, 0};
  double root_m = soil_.shallow_m;
  if (growing(crop_.phase)) {
    const double share = cover_share(settings.stages, settings.light, crop_.thermal_cd);
    demand.kcb = basal_coefficient(settings.water, settings.light, crop_.thermal_cd, share);
    demand.ground_cover = ground_cover(settings.water, settings.light, crop_.thermal_cd, share, demand.kcb);
    root_m = root_depth(settings.stages, soil_.shallow_m, soil_.full_m, crop_.thermal_cd);
  } else if (crop_.phase == Phase::ripe && record_.harvested < 0) {
    demand.kcb = settings.water.kcb_end;
    root_m = soil_.full_m;
  }
  move_boundary(soil_, water_, root_m);
  const WaterDay water = advance(soil_, settings.water, demand, water_);

  if (growing(crop_.phase)) {
    const auto stage = static_cast<std::size_t>(crop_.phase) - static_cast<std::size_t>(Phase::leaves);
    et_mm_[stage] += water.evaporation_mm + water.transpiration_mm;
    et_potential_mm_[stage] += water.et_potential_mm;
    if (crop_.phase != Phase::grain_fill && topsoil_air_frac(soil_, water_) < settings.yield.waterlogged_air_frac)
      ++record_.waterlogged_days;
    suffer_extremes(settings, weather);
  }
  if (record_.ripe < 0 || season_day == record_.ripe) {
    auto& today = asked_[static_cast<std::size_t>(season_day) % asked_.size()];
    const double ready_mm = settings.water.depletion_fraction * 1000 * (soil_.field_capacity - soil_.wilting) * water_.root_depth_m;
    today = {std::max(root_depletion_mm(soil_, water_) - ready_mm, 0.0), weather.et0_mm - (weather.rain_mm - water.runoff_mm)};
    const auto at = [&](int day) { return asked_[static_cast<std::size_t>(day) % asked_.size()]; };
    if (season_day == record_.ripe)
      record_.deficit_fill_mm = potential_deficit_mm(
          window_.begin, season_day, [&](int day) { return at(day).past_ready_mm; }, [&](int day) { return at(day).net_mm; });
  }
  ripen(settings, season_day, weather);
  keep_balance(settings, season_day, weather, water);
}

CropRecord FieldSeason::finish(const CropSettings& settings) const {
  CropRecord r = record_;
  r.duration = duration_of(settings.light, crop_.light_mj);
  r.duration_planned = duration_of(settings.light, planned_crop_.light_mj);
  r.water_factor = 1;
  for (std::size_t stage = 0; stage < et_mm_.size(); ++stage)
    r.water_factor *= water_yield_factor(settings.yield.ky[stage], et_mm_[stage], et_potential_mm_[stage]);
  set_yield(settings, r);
  return r;
}

SeasonBalance FieldSeason::balance() const {
  SeasonBalance b = balance_;
  b.storage_change_mm = (water_.root_mm + water_.lower_mm) - (start_.root_mm + start_.lower_mm);
  return b;
}

}  // namespace rickyard
