// The weather of a block in lanes, and what depends on weather alone.
// Compiled once for every instruction set (Highway) and chosen when the program runs. Nothing here fuses a multiplication with an addition,
// and every lane goes its own way, so the bits are the same on all of them.
#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "planner/crop/lane_weather_kernel.cpp"
#include <hwy/foreach_target.h>  // must come before highway.h
#include <hwy/highway.h>

#include "planner/crop/lane_kernel.h"
#include "planner/crop/lane_vector-inl.h"

HWY_BEFORE_NAMESPACE();
namespace rickyard::HWY_NAMESPACE {

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

}  // namespace rickyard::HWY_NAMESPACE
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace rickyard {

HWY_EXPORT(FromPlain);
HWY_EXPORT(WeatherSums);
HWY_EXPORT(WeatherOfHarvest);

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

}  // namespace lane_kernel
}  // namespace rickyard
#endif
