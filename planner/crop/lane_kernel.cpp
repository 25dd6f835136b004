// Soil water and canopy of a block in lanes.
// Compiled once for every instruction set (Highway) and chosen when the program runs. Nothing here fuses a multiplication with an addition,
// and every lane goes its own way, so the bits are the same on all of them.
#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "planner/crop/lane_kernel.cpp"
#include <hwy/foreach_target.h>  // must come before highway.h
#include <hwy/highway.h>

#include <algorithm>
#include <cmath>

#include "planner/crop/canopy.h"
#include "planner/crop/lane_kernel.h"
#include "planner/crop/lane_vector-inl.h"

HWY_BEFORE_NAMESPACE();
namespace rickyard::HWY_NAMESPACE {

// What does not change from day to day on one vector of lanes. Reciprocals stand for divisions of the scalar code by what stays the same.
struct Soil {
  V wilting, field_capacity, saturation, shallow, full, drain, tew, per_evaporable, initial_abstraction, retention, workable;
  V per_evaporation_mm, per_shallow_mm, evaporation_floor;
  Soil(const LaneSoil& s, std::size_t i)
      : wilting(at(s.wilting, i)),
        field_capacity(at(s.field_capacity, i)),
        saturation(at(s.saturation, i)),
        shallow(at(s.shallow_m, i)),
        full(at(s.full_m, i)),
        drain(at(s.drain_mm_day, i) / (all(1000) * (at(s.saturation, i) - at(s.field_capacity, i)))),
        tew(at(s.tew_mm, i)),
        per_evaporable(all(1) / (at(s.tew_mm, i) - at(s.rew_mm, i))),
        initial_abstraction(all(0.2) * at(s.retention_mm, i)),
        retention(at(s.retention_mm, i)),
        workable(at(s.workable_frac, i) + all(1e-9)),
        per_evaporation_mm(all(1) / (all(1000) * at(s.evaporation_m, i))),
        per_shallow_mm(all(1) / (all(1000) * at(s.shallow_m, i))),
        evaporation_floor(all(0.5) * at(s.wilting, i) * all(1000) * at(s.evaporation_m, i)) {}
};

struct State {
  V root, lower, depth, surface, winter;
};
HWY_INLINE State load(const LaneWater& w, std::size_t i) {
  return {at(w.root_mm, i), at(w.lower_mm, i), at(w.depth_m, i), at(w.surface_mm, i), at(w.winter_mm, i)};
}
HWY_INLINE void store(const State& s, LaneWater& w, std::size_t i) {
  put(s.root, w.root_mm, i);
  put(s.lower, w.lower_mm, i);
  put(s.depth, w.depth_m, i);
  put(s.surface, w.surface_mm, i);
  put(s.winter, w.winter_mm, i);
}

// As move_boundary.
HWY_INLINE void move_boundary(const Soil& soil, V depth, State& s) {
  const V step = depth - s.depth;
  if (hn::AllTrue(D(), step == all(0))) return;
  const M deeper = step > all(0);
  const V share = step / if_else(deeper, soil.full - s.depth, s.depth);
  const V whole = if_else(deeper, s.lower, s.root);
  const M to_end = hn::And(deeper, depth >= soil.full);
  const V moved = if_else(step == all(0), all(0), if_else(to_end, s.lower, whole * share));
  s.root = s.root + moved;
  s.lower = if_else(to_end, all(0), s.lower - moved);
  s.depth = depth;
}

struct Day {
  V runoff, et, etc, drainage;
};

// As draining_mm.
HWY_INLINE V draining(const Soil& soil, V content, V depth) {
  const V excess = content - all(1000) * soil.field_capacity * depth;
  const M some = excess > all(0);
  if (hn::AllFalse(D(), some)) return all(0);
  return if_else(some, least(excess, soil.drain * excess / depth), all(0));
}

// As advance (soil_water.cpp), in its order. kBare: cover is 0.
template <bool kBare>
HWY_INLINE Day advance(const Soil& soil, const WaterSettings& settings, V rain, V et0, V kcb, V cover, State& s) {
  Day day;
  const V excess = rain - soil.initial_abstraction;
  day.runoff = all(0);
  if (!hn::AllFalse(D(), excess > all(0))) day.runoff = if_else(excess > all(0), excess * excess / (excess + soil.retention), all(0));
  const V infiltration = rain - day.runoff;
  s.root = s.root + infiltration;
  s.surface = most(s.surface - infiltration, all(0));

  const V exposed = kBare ? all(1) : all(1) - cover;
  const V kc_max = most(all(settings.kc_max), kcb + all(0.05));
  const V left = soil.tew - s.surface;
  const V kr = within(left * soil.per_evaporable, all(0), all(1));
  const V ke = most(least(kr * (kc_max - kcb), exposed * kc_max), all(0));
  const V depth_mm = all(1000) * s.depth;
  const V wilted = soil.wilting * depth_mm;
  const V taw = (soil.field_capacity - soil.wilting) * depth_mm;
  const V asked = kcb * et0;
  const V p = within(all(settings.depletion_fraction) + all(0.04) * (all(5) - asked), all(0.1), all(0.8));
  const V depletion = most(soil.field_capacity * depth_mm - s.root, all(0));
  const V ks = within((taw - depletion) / ((all(1) - p) * taw), all(0), all(1));
  const V evaporation = least(least(ke * et0, exposed * left), most(s.root - (wilted - soil.evaporation_floor), all(0)));
  const V transpiration = least(ks * kcb * et0, most(s.root - evaporation - wilted, all(0)));
  day.et = evaporation + transpiration;
  day.etc = evaporation + asked;
  s.root = s.root - day.et;
  s.surface = least(s.surface + (kBare ? evaporation : evaporation / exposed), soil.tew);

  const V lower_m = soil.full - s.depth;
  const V percolation = draining(soil, s.root, s.depth);
  const M two_stores = lower_m > all(0);
  const V below = if_else(two_stores, draining(soil, s.lower, lower_m), all(0));
  s.lower = s.lower - below;
  const V room = most(all(1000) * soil.saturation * lower_m - s.lower, all(0));
  const V taken = if_else(two_stores, least(percolation, room), percolation);
  s.root = s.root - taken;
  s.lower = if_else(two_stores, s.lower + taken, s.lower);
  day.drainage = if_else(two_stores, below, percolation);
  const V overflow = most(s.root - soil.saturation * depth_mm, all(0));
  s.root = s.root - overflow;
  day.runoff = day.runoff + overflow;
  return day;
}

// Water of the topsoil above field capacity, as a fraction; 0 or more.
HWY_INLINE V topsoil_above(const Soil& soil, const State& s) {
  const V above = s.root - all(1000) * soil.field_capacity * s.depth;
  const V frac = least(soil.field_capacity + above * soil.per_shallow_mm, soil.saturation) - soil.field_capacity;
  return if_else(above > all(0), frac, all(0));
}

HWY_INLINE void deficits(const Soil& soil, const CropSettings& settings, const State& s, V rain, V et0, const Day& day, std::size_t i,
                         Lanes& past_ready, Lanes& asked) {
  const V ready = all(settings.water.depletion_fraction) * all(1000) * (soil.field_capacity - soil.wilting) * s.depth;
  const V depletion = most(all(1000) * soil.field_capacity * s.depth - s.root, all(0));
  put(most(depletion - ready, all(0)), past_ready, i);
  put(et0 - (rain - day.runoff), asked, i);
}

void Fallow(const CropSettings& settings, const LaneSoil& lane_soil, const LaneWeather& w, int to, int autumn, int winter_end,
            LaneFallow& out) {
  const V kcb = all(settings.water.kcb_fallow), bare = all(0);
  for (std::size_t i = 0; i < Lanes::kCount; i += hn::Lanes(D())) {
    const Soil soil(lane_soil, i);
    for (int day = out.next; day <= to; ++day) {
      const auto t = static_cast<std::size_t>(day);
      State s = load(out.water[t], i);  // water[t] is the evening before; see below
      const V rain = at(w.rain_mm[t], i), et0 = at(w.et0_mm[t], i);
      if (day >= out.watch_from) {
        const V theta = soil.field_capacity - s.surface * soil.per_evaporation_mm + topsoil_above(soil, s);
        const V mean = at(w.warmth[t], i) / all(200);
        const M fit = hn::And(hn::And(at(w.warm[t], i) >= all(3), rain < all(settings.sowing.rain_max_mm)),
                              hn::And(mean > all(settings.sowing.frozen_c), theta <= soil.workable));
        std::uint8_t bits[8] = {};
        hn::StoreMaskBits(D(), fit, bits);
        out.workable[t] |= static_cast<unsigned>(bits[0]) << i;
      }
      move_boundary(soil, soil.shallow, s);
      const Day water = advance<true>(soil, settings.water, rain, et0, kcb, bare, s);
      deficits(soil, settings, s, rain, et0, water, i, out.past_ready_mm[t], out.asked_mm[t]);
      if (day >= autumn && day <= winter_end) s.winter = s.winter + water.drainage;
      store(s, out.water[t + 1], i);
    }
  }
}

HWY_INLINE V between(const std::vector<double>& table, V place, V offset) {
  const D d;
  const hn::RebindToSigned<D> di;
  const auto index = hn::ConvertTo(di, place + offset);
  const V low = hn::GatherIndex(d, table.data(), index), high = hn::GatherIndex(d, table.data() + 1, index);
  return low + (high - low) * (place + offset - hn::ConvertTo(d, index));
}

// Thermal time of the day, and what of the canopy depends on it alone.
struct Crop {
  const CropSettings& settings;
  V sown, units, thermal, light;
  M growing;
  V share;
};

HWY_INLINE void develop(const CropSettings& settings, const LaneWeather& w, int day, std::size_t i, V divisor, Crop& crop) {
  const auto t = static_cast<std::size_t>(day);
  const auto& stages = settings.stages;
  V units = at(w.thermal[t], i);
  if (settings.stages.day_length_sensitivity > 0) units = if_else(crop.thermal < all(stages.heading_cd), at(w.thermal_leafy[t], i), units);
  const M after = hn::And(all(day) > crop.sown, crop.thermal < all(stages.ripeness_cd));
  crop.units = crop.units + if_else(after, units, all(0));
  crop.thermal = crop.units / divisor;
  crop.growing = hn::And(crop.thermal >= all(stages.emergence_cd), crop.thermal < all(stages.ripeness_cd));
  const V rise = (crop.thermal - all(stages.emergence_cd)) * all(1 / (settings.light.full_cover_cd - stages.emergence_cd));
  const V fall = (all(stages.ripeness_cd) - crop.thermal) * all(1 / (stages.ripeness_cd - settings.light.decline_cd));
  crop.share = within(least(rise, fall), all(0), all(1));
}

HWY_INLINE void catch_light(const CanopyTable& table, const LaneWeather& w, int day, std::size_t i, Crop& crop) {
  const V caught =
      at(w.radiation_mj[static_cast<std::size_t>(day)], i) * between(table.light, crop.share * all(CanopyTable::kSteps), all(0));
  crop.light = crop.light + if_else(crop.growing, caught, all(0));
}

HWY_INLINE Crop seed(const CropSettings& settings, const Lanes& sown, std::size_t i) {
  // Never sown: a day that does not come.
  const V days = at(sown, i), never = all(1e9);
  return {settings, if_else(days < all(0), never, days), all(0), all(0), all(0), all(1) < all(0), all(0)};
}

void Canopy(const CropSettings& settings, const CanopyTable& table, const LaneSoil& lane_soil, const LaneWeather& w, double thermal_factor,
            const Lanes& sown, LaneCanopy& out) {
  const auto& stages = settings.stages;
  const auto& water = settings.water;
  const V divisor = all(200 * thermal_factor);
  out.to = out.from;
  int ended[Lanes::kCount] = {};
  for (std::size_t i = 0; i < Lanes::kCount; i += hn::Lanes(D())) {
    const V shallow = at(lane_soil.shallow_m, i), full = at(lane_soil.full_m, i);
    Crop crop = seed(settings, sown, i);
    int day = out.from;
    for (; day < w.days; ++day) {
      const auto t = static_cast<std::size_t>(day);
      develop(settings, w, day, i, divisor, crop);
      put(crop.thermal, out.thermal_cd[t], i);
      catch_light(table, w, day, i, crop);
      const M rising = crop.thermal < all(settings.light.decline_cd), ripe = crop.thermal >= all(stages.ripeness_cd);
      const V from = if_else(rising, all(water.kcb_initial), all(water.kcb_end));
      const V kcb = from + (all(water.kcb_mid) - from) * crop.share;
      const V place = crop.share * all(CanopyTable::kSteps);
      const V cover = between(table.cover, place, if_else(rising, all(0), all(CanopyTable::kSteps + 2)));
      const V deep = within((crop.thermal - all(stages.emergence_cd)) * all(1 / (stages.heading_cd - stages.emergence_cd)), all(0), all(1));
      const V depth = if_else(deep >= all(1), full, shallow + (full - shallow) * deep);
      put(if_else(crop.growing, kcb, if_else(ripe, all(water.kcb_end), all(water.kcb_fallow))), out.kcb[t], i);
      put(if_else(crop.growing, cover, all(0)), out.cover[t], i);
      put(if_else(crop.growing, depth, if_else(ripe, full, shallow)), out.depth_m[t], i);
      if (hn::AllTrue(D(), ripe)) {
        ++day;
        break;
      }
    }
    ended[i] = day;
    out.to = std::max(out.to, day);
    put(crop.light, out.light_mj, i);
  }
  // Lanes that are ripe before others stand on.
  for (std::size_t i = 0; i < Lanes::kCount; i += hn::Lanes(D())) {
    for (int day = ended[i]; day < out.to; ++day) {
      const auto t = static_cast<std::size_t>(day);
      put(all(stages.ripeness_cd), out.thermal_cd[t], i);
      put(all(water.kcb_end), out.kcb[t], i);
      put(all(0), out.cover[t], i);
      put(at(lane_soil.full_m, i), out.depth_m[t], i);
    }
  }
}

void Light(const CropSettings& settings, const CanopyTable& table, const LaneWeather& w, double thermal_factor, const Lanes& sown,
           Lanes& light_mj) {
  const V divisor = all(200 * thermal_factor);
  int from = w.days;
  for (const double day : sown.v)
    if (day >= 0) from = std::min(from, static_cast<int>(day));
  for (std::size_t i = 0; i < Lanes::kCount; i += hn::Lanes(D())) {
    Crop crop = seed(settings, sown, i);
    for (int day = std::max(from, w.begin); day < w.days; ++day) {
      develop(settings, w, day, i, divisor, crop);
      catch_light(table, w, day, i, crop);
      if (hn::AllTrue(D(), crop.thermal >= all(settings.stages.ripeness_cd))) break;
    }
    put(crop.light, light_mj, i);
  }
}

void Growth(const CropSettings& settings, const LaneSoil& lane_soil, const LaneWeather& w, const LaneFallow& fallow,
            const LaneCanopy& canopy, const Lanes& emerged, int from, int to, int autumn, int winter_end, LaneGrowth& out) {
  for (std::size_t i = 0; i < Lanes::kCount; i += hn::Lanes(D())) {
    const Soil soil(lane_soil, i);
    const V first = at(emerged, i);
    State s = load(out.water, i);
    V et = all(0), etc = all(0), soaked = all(0);
    for (int day = from; day < to; ++day) {
      const auto t = static_cast<std::size_t>(day);
      const M today = first == all(day);
      if (!hn::AllFalse(D(), today)) {
        const State bare = load(fallow.water[t], i);  // of the evening before
        s = {if_else(today, bare.root, s.root), if_else(today, bare.lower, s.lower), if_else(today, bare.depth, s.depth),
             if_else(today, bare.surface, s.surface), if_else(today, bare.winter, s.winter)};
        et = if_else(today, all(0), et);
        etc = if_else(today, all(0), etc);
        soaked = if_else(today, all(0), soaked);
      }
      const V rain = at(w.rain_mm[t], i), et0 = at(w.et0_mm[t], i);
      move_boundary(soil, at(canopy.depth_m[t], i), s);
      const Day water = advance<false>(soil, settings.water, rain, et0, at(canopy.kcb[t], i), at(canopy.cover[t], i), s);
      et = et + water.et;
      etc = etc + water.etc;
      // Air of the topsoil, as topsoil_air_frac: below field capacity the root zone's own content counts.
      const V above = topsoil_above(soil, s);
      const V air_wanted = soil.saturation - all(settings.yield.waterlogged_air_frac);
      const M wet = if_else_mask(above > all(0), soil.field_capacity + above > air_wanted, s.root > air_wanted * all(1000) * s.depth);
      soaked = soaked + if_else(wet, all(1), all(0));
      if (day >= autumn && day <= winter_end) s.winter = s.winter + water.drainage;
      put(et, out.et_sum[t], i);
      put(etc, out.etc_sum[t], i);
      put(soaked, out.waterlogged_sum[t], i);
      deficits(soil, settings, s, rain, et0, water, i, out.past_ready_mm[t], out.asked_mm[t]);
    }
    store(s, out.water, i);
  }
}

}  // namespace rickyard::HWY_NAMESPACE
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace rickyard {

HWY_EXPORT(Fallow);
HWY_EXPORT(Canopy);
HWY_EXPORT(Light);
HWY_EXPORT(Growth);

CanopyTable CanopyTable::of(const CropSettings& settings) {
  CanopyTable table;
  // What grows and what declines differ by the side of the decline they stand on.
  for (const double thermal : {settings.light.decline_cd - 1, settings.light.decline_cd})
    for (int i = 0; i <= kSteps + 1; ++i) {
      const double share = static_cast<double>(i) / kSteps;
      const double kcb = basal_coefficient(settings.water, settings.light, thermal, share);
      table.cover.push_back(ground_cover(settings.water, settings.light, thermal, share, kcb));
    }
  for (int i = 0; i <= kSteps + 1; ++i) table.light.push_back(light_intercepted(settings.light, static_cast<double>(i) / kSteps));
  return table;
}

namespace lane_kernel {

void fallow(const CropSettings& settings, const LaneSoil& soil, const LaneWeather& weather, int to, int autumn, int winter_end,
            LaneFallow& out) {
  HWY_DYNAMIC_DISPATCH(Fallow)(settings, soil, weather, to, autumn, winter_end, out);
  out.next = std::max(out.next, to + 1);
}
void canopy(const CropSettings& settings, const CanopyTable& table, const LaneSoil& soil, const LaneWeather& weather, double thermal_factor,
            const Lanes& sown, LaneCanopy& out) {
  HWY_DYNAMIC_DISPATCH(Canopy)(settings, table, soil, weather, thermal_factor, sown, out);
}
void light(const CropSettings& settings, const CanopyTable& table, const LaneWeather& weather, double thermal_factor, const Lanes& sown,
           Lanes& light_mj) {
  HWY_DYNAMIC_DISPATCH(Light)(settings, table, weather, thermal_factor, sown, light_mj);
}
void growth(const CropSettings& settings, const LaneSoil& soil, const LaneWeather& weather, const LaneFallow& fallow_days,
            const LaneCanopy& canopy_days, const Lanes& emerged, int from, int to, int autumn, int winter_end, LaneGrowth& out) {
  HWY_DYNAMIC_DISPATCH(Growth)(settings, soil, weather, fallow_days, canopy_days, emerged, from, to, autumn, winter_end, out);
}

}  // namespace lane_kernel
}  // namespace rickyard
#endif
