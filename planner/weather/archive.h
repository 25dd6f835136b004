#pragma once
// The daily weather archive, quantised once on reading: everything downstream starts from these integers.
#include <cstdint>
#include <limits>
#include <vector>

#include "planner/base/calendar.h"

namespace rickyard {

/// Daily weather of `cells` cells. All arrays: [day][cell], cell fastest; day 0 = first_day.
/// rain 0.01 mm (0..65534), temperatures 0.01 C, wind 0.01 m/s at 2 m, vapour pressure 0.001 kPa,
/// radiation 0.01 MJ/m2/d, et0 0.01 mm. Empty optional arrays: not supplied.
/// A real Gregorian day sequence: geo has already mapped 360_day and 365_day calendars (METHODS.md, "Calendars").
struct WeatherArchive {
  static constexpr std::uint16_t kMissingRain = std::numeric_limits<std::uint16_t>::max();
  static constexpr std::int16_t kMissingTemperature = std::numeric_limits<std::int16_t>::min();
  static constexpr std::uint16_t kMissingOther = std::numeric_limits<std::uint16_t>::max();

  int cells = 0;
  int days = 0;
  Date first_day{boost::date_time::not_a_date_time};
  std::vector<std::uint16_t> rain_cmm;
  std::vector<std::int16_t> tmin_cc, tmax_cc;
  std::vector<std::uint16_t> wind_cms, vapour_pa, radiation_cmj, et0_cmm;  // optional
  bool rain_disaggregated = false;                                         // daily rain was made from monthly totals

  std::size_t at(int day, int cell) const {
    return static_cast<std::size_t>(day) * static_cast<std::size_t>(cells) + static_cast<std::size_t>(cell);
  }
};

}  // namespace rickyard
