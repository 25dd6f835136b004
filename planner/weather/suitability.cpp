#include "planner/weather/suitability.h"

#include <fmt/format.h>

#include <cmath>
#include <map>

#include "planner/weather/et0.h"

namespace rickyard {
namespace {

constexpr double kDaysPerYear = 365.2425;
constexpr int kGroupD = 3;

// Sums of one cell over the whole archive.
struct CellClimate {
  double rain_mm = 0, night_c = 0, frosts = 0;
  int rain_days = 0, nights = 0, spring_nights = 0;
};

CellClimate climate_of(const WeatherArchive& archive, const std::vector<int>& months, int cell, bool south) {
  CellClimate sum;
  for (int day = 0; day < archive.days; ++day) {
    const std::size_t at = archive.at(day, cell);
    if (archive.rain_cmm[at] != WeatherArchive::kMissingRain) {
      sum.rain_mm += archive.rain_cmm[at] / 100.0;
      ++sum.rain_days;
    }
    if (archive.tmin_cc[at] == WeatherArchive::kMissingTemperature) continue;
    const int month = (months[static_cast<std::size_t>(day)] + (south ? 5 : 11)) % 12;  // 0 = January, or July in the south
    const double tmin_c = archive.tmin_cc[at] / 100.0;
    if (month == 6 || month == 7) {
      sum.night_c += tmin_c;
      ++sum.nights;
    } else if (month == 4 || month == 5) {
      sum.frosts += tmin_c <= 0 ? 1 : 0;
      ++sum.spring_nights;
    }
  }
  return sum;
}

// Hectare-weighted means over a region.
struct RegionClimate {
  double ha = 0, rain_mm = 0, night_c = 0, frosts = 0, slow_share = 0, latitude_deg = 0;
};

RegionClimate climate_of(const Land& land, const WeatherArchive& archive, const Region& region) {
  std::map<int, double> ha_by_cell;
  RegionClimate mean;
  for (const auto& share : region.units) {
    const auto& unit = land.units[static_cast<std::size_t>(share.unit)];
    ha_by_cell[unit.cell] += share.ha;
    mean.ha += share.ha;
    if (land.soils[static_cast<std::size_t>(unit.soil)].hydrologic_group == kGroupD) mean.slow_share += share.ha;
  }
  if (!(mean.ha > 0)) return mean;
  mean.slow_share /= mean.ha;
  std::vector<int> months;
  for (int day = 0, first = day_number(archive.first_day); day < archive.days; ++day)
    months.push_back(date_of(first + day).month().as_number());
  for (const auto& [cell, ha] : ha_by_cell) {
    const double latitude = land.cells[static_cast<std::size_t>(cell)].lat_deg, weight = ha / mean.ha;
    const auto sum = climate_of(archive, months, cell, latitude < 0);
    mean.latitude_deg += weight * latitude;
    if (sum.rain_days > 0) mean.rain_mm += weight * sum.rain_mm / sum.rain_days * kDaysPerYear;
    if (sum.nights > 0) mean.night_c += weight * sum.night_c / sum.nights;
    if (sum.spring_nights > 0) mean.frosts += weight * sum.frosts / sum.spring_nights * 61;
  }
  return mean;
}

double longest_day_h(double latitude_deg) {
  const int solstice = latitude_deg < 0 ? 355 : 172;
  return daylight_hours(sunset_hour_angle(radians(latitude_deg), solar_declination(solstice)));
}

const char* verdict(bool suits) { return suits ? "suits" : "outside"; }

}  // namespace

std::vector<std::string> suitability(const Land& land, const WeatherArchive& archive, int region, const SuitabilityLimits& limits) {
  const auto mean = climate_of(land, archive, land.regions[static_cast<std::size_t>(region)]);
  if (!(mean.ha > 0)) return {};
  const double day_h = longest_day_h(mean.latitude_deg);
  const char* rain_note = mean.rain_mm > limits.rain_max_mm   ? "; expect waterlogged days, lower yield and smaller grain"
                          : mean.rain_mm < limits.rain_min_mm ? "; expect drought losses in most years"
                                                              : "";
  return {
      fmt::format("annual rain {:.0f} mm: {} (wanted {:.0f} to {:.0f} mm){}", mean.rain_mm,
                  verdict(mean.rain_mm >= limits.rain_min_mm && mean.rain_mm <= limits.rain_max_mm), limits.rain_min_mm, limits.rain_max_mm,
                  rain_note),
      fmt::format("drainage: {} ({:.0f} % of the land in the slowest soil group, wanted at most {:.0f} %)",
                  verdict(mean.slow_share <= limits.slow_share_max), 100 * mean.slow_share, 100 * limits.slow_share_max),
      fmt::format("summer nights {:.1f} C on average: {} (wanted at most {:.0f} C)", mean.night_c,
                  verdict(mean.night_c <= limits.night_max_c), limits.night_max_c),
      fmt::format("late frosts {:.1f} nights a year: {} (wanted at most {:.0f})", mean.frosts, verdict(mean.frosts <= limits.frosts_max),
                  limits.frosts_max),
      fmt::format("longest day {:.1f} h: {} (wanted at least {:.0f} h)", day_h, verdict(day_h >= limits.day_length_min_h),
                  limits.day_length_min_h),
  };
}

std::vector<std::string> suitability(const Land& land, const WeatherArchive& archive, int region) {
  return suitability(land, archive, region, {});
}

}  // namespace rickyard
