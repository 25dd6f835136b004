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

HWY_BEFORE_NAMESPACE();
namespace rickyard::HWY_NAMESPACE {
namespace hn = hwy::HWY_NAMESPACE;

using D = hn::CappedTag<double, Lanes::kCount>;
using V = hn::Vec<D>;
using M = hn::Mask<D>;

HWY_INLINE V all(double value) { return hn::Set(D(), value); }
HWY_INLINE V at(const Lanes& lanes, std::size_t i) { return hn::Load(D(), lanes.data() + i); }
HWY_INLINE void put(V value, Lanes& lanes, std::size_t i) { hn::Store(value, D(), lanes.data() + i); }
// Like std::max(a, b) and std::min(a, b) for numbers.
HWY_INLINE V most(V a, V b) { return hn::IfThenElse(a < b, b, a); }
HWY_INLINE V least(V a, V b) { return hn::IfThenElse(b < a, b, a); }
HWY_INLINE V within(V x, V low, V high) { return least(most(x, low), high); }
HWY_INLINE V if_else(M m, V yes, V no) { return hn::IfThenElse(m, yes, no); }
HWY_INLINE M if_else_mask(M m, M yes, M no) { return hn::Or(hn::And(m, yes), hn::AndNot(m, no)); }

// e^x for |x| <= 700: x = k ln 2 + r, a polynomial of degree 13 in r (error of the series below 1e-17), 2^k by its exponent bits.
HWY_INLINE V exponential(V x) {
  const D d;
  const hn::RebindToSigned<D> di;
  const V k = hn::Round(x * all(1.4426950408889634));
  const V r = (x - k * all(6.93147180369123816490e-01)) - k * all(1.90821492927058770002e-10);
  V p = all(1.0 / 6227020800.0);
  for (const double c : {1.0 / 479001600.0, 1.0 / 39916800.0, 1.0 / 3628800.0, 1.0 / 362880.0, 1.0 / 40320.0, 1.0 / 5040.0, 1.0 / 720.0,
                         1.0 / 120.0, 1.0 / 24.0, 1.0 / 6.0, 0.5, 1.0, 1.0})
    p = p * r + all(c);
  const auto bits = hn::ShiftLeft<52>(hn::ConvertTo(di, k) + hn::Set(di, 1023));
  return p * hn::BitCast(d, bits);
}

// ln x for normal x > 0: x = 2^k m with m in [sqrt(1/2), sqrt 2), ln m = 2 artanh(s), s = (m - 1)/(m + 1), by its series to s^23.
HWY_INLINE V logarithm(V x) {
  const D d;
  const hn::RebindToSigned<D> di;
  const auto bits = hn::BitCast(di, x);
  auto k = hn::ShiftRight<52>(bits) - hn::Set(di, 1023);
  V m = hn::BitCast(d, hn::Or(hn::And(bits, hn::Set(di, 0x000fffffffffffffLL)), hn::Set(di, 0x3ff0000000000000LL)));
  const M large = m > all(1.4142135623730951);
  m = if_else(large, m * all(0.5), m);
  const V exponent = hn::ConvertTo(d, k) + if_else(large, all(1), all(0));
  const V s = (m - all(1)) / (m + all(1)), s2 = s * s;
  V p = all(1.0 / 23);
  for (const double c : {1.0 / 21, 1.0 / 19, 1.0 / 17, 1.0 / 15, 1.0 / 13, 1.0 / 11, 1.0 / 9, 1.0 / 7, 1.0 / 5, 1.0 / 3, 1.0})
    p = p * s2 + all(c);
  return exponent * all(6.93147180369123816490e-01) + (all(2) * s * p + exponent * all(1.90821492927058770002e-10));
}

HWY_INLINE V vapour_pressure(V t) { return all(0.6108) * exponential(all(17.27) * t / (t + all(237.3))); }

void FromPlain(const PlainWeather& plain, LaneWeather& w) {
  for (int day = w.begin; day < w.days; ++day) {
    const auto t = static_cast<std::size_t>(day);
    const PlainDay& of_day = plain.days[t];
    for (std::size_t i = 0; i < Lanes::kCount; i += hn::Lanes(D())) {
      V rain = at(w.rain_mm[t], i);
      if (of_day.rain_factor != 1) rain = hn::Floor(rain * all(of_day.rain_factor) + all(0.5));
      put(rain / all(100), w.rain_mm[t], i);
      const V low_cc = at(w.tmin_c[t], i), high_cc = at(w.tmax_c[t], i);
      put(low_cc + high_cc, w.warmth[t], i);
      const V low = low_cc / all(100), high = high_cc / all(100), mean = (low + high) / all(2);
      put(low, w.tmin_c[t], i);
      put(high, w.tmax_c[t], i);
      const V ra = at(*of_day.ra_mj, i), root = hn::Sqrt(most(high - low, all(0)));
      put(least(all(plain.krs) * root * ra, at(plain.clear_share, i) * ra), w.radiation_mj[t], i);
      put(most(all(0.0023) * (mean + all(17.8)) * root * (all(0.408) * ra), all(0)), w.et0_mm[t], i);
    }
  }
}

void WeatherSums(const CropSettings& settings, bool leafy, LaneWeather& w) {
  const double base = 200 * settings.stages.base_c;
  for (std::size_t i = 0; i < Lanes::kCount; i += hn::Lanes(D())) {
    V soil = all(0), warm = all(0), heat = all(0), frost = all(0), rain = all(0);
    for (int day = w.begin; day < w.days; ++day) {
      const auto t = static_cast<std::size_t>(day);
      const V warmth = at(w.warmth[t], i), mean = warmth / all(200);
      const V units = most(warmth - all(base), all(0));
      put(units, w.thermal[t], i);
      if (leafy) {
        const V lack = most(all(settings.stages.day_length_full_h) - at(w.daylight_h[t], i), all(0));
        put(units * most(all(1) - all(settings.stages.day_length_sensitivity) * lack, all(0)), w.thermal_leafy[t], i);
      }
      soil = day == w.begin ? mean : soil + all(settings.sowing.soil_weight) * (mean - soil);
      warm = if_else(soil >= all(settings.sowing.soil_c), warm + all(1), all(0));
      put(warm, w.warm[t], i);
      heat = heat + most(at(w.tmax_c[t], i) - all(settings.yield.heat_c), all(0));
      put(heat, w.heat_sum[t], i);
      frost = frost + if_else(at(w.tmin_c[t], i) <= all(settings.yield.frost_c), all(1), all(0));
      put(frost, w.frost_sum[t], i);
      rain = rain + at(w.rain_mm[t], i);
      put(rain, w.rain_sum[t], i);
    }
  }
}

void WeatherOfHarvest(const HarvestSettings& rules, int from, int to, LaneWeather& w) {
  for (int day = from; day < to; ++day) {
    const auto t = static_cast<std::size_t>(day);
    for (std::size_t i = 0; i < Lanes::kCount; i += hn::Lanes(D())) {
      const V low = vapour_pressure(at(w.tmin_c[t], i)), mean = (vapour_pressure(at(w.tmax_c[t], i)) + low) / all(2);
      const V ea = w.vapour_given ? at(w.vapour_kpa[t], i) : low;
      const V humidity = all(100) * least(ea / mean, all(1));
      put(humidity, w.humidity_pct[t], i);
      // Chung & Pfost, as equilibrium_moisture_pct (field_work.h).
      const V share = within(humidity, all(10), all(95)) / all(100);
      const V dry = all(0.33363) - all(0.050279) * logarithm((all(0) - (at(w.warmth[t], i) / all(200) + all(91.323))) * logarithm(share));
      put(all(100) * dry / (all(1) + dry), w.settled_pct[t], i);
      put(exponential((all(0) - all(rules.drying_per_mm)) * at(w.et0_mm[t], i)), w.drying[t], i);
    }
  }
}

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

HWY_EXPORT(FromPlain);
HWY_EXPORT(WeatherSums);
HWY_EXPORT(WeatherOfHarvest);
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

void LaneWeather::resize(int first, int count) {
  begin = first;
  days = count;
  vapour_given = false;
  harvest_from = harvest_to = 0;
  for (LaneDays* series : {&rain_mm, &tmin_c, &tmax_c, &et0_mm, &radiation_mj, &daylight_h, &vapour_kpa, &warmth, &thermal, &thermal_leafy,
                           &warm, &heat_sum, &frost_sum, &rain_sum, &humidity_pct, &settled_pct, &drying})
    if (series->size() < static_cast<std::size_t>(count)) series->resize(static_cast<std::size_t>(count));
}

namespace lane_kernel {

void plain_weather(const PlainWeather& plain, LaneWeather& weather) { HWY_DYNAMIC_DISPATCH(FromPlain)(plain, weather); }
void weather_sums(const CropSettings& settings, bool leafy, LaneWeather& weather) {
  HWY_DYNAMIC_DISPATCH(WeatherSums)(settings, leafy, weather);
}
void weather_of_harvest(const HarvestSettings& rules, int from, int to, LaneWeather& weather) {
  HWY_DYNAMIC_DISPATCH(WeatherOfHarvest)(rules, from, to, weather);
}
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
