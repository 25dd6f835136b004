#include "planner/weather/et0.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace rickyard {
namespace {
constexpr double kPi = std::numbers::pi;
constexpr double kSolarConstant = 0.0820;      // MJ/m2/min
constexpr double kStefanBoltzmann = 4.903e-9;  // MJ/K4/m2/d
constexpr double kMmPerMj = 0.408;             // mm of water evaporated by 1 MJ/m2
double fourth_power(double x) { return (x * x) * (x * x); }
}  // namespace

double air_pressure_kpa(double elevation_m) { return 101.3 * std::pow((293 - 0.0065 * elevation_m) / 293, 5.26); }
double psychrometric_constant(double pressure_kpa) { return 0.665e-3 * pressure_kpa; }
double saturation_vapour_pressure(double t_c) { return 0.6108 * std::exp(17.27 * t_c / (t_c + 237.3)); }
double mean_saturation_vapour_pressure(double tmin_c, double tmax_c) {
  return (saturation_vapour_pressure(tmax_c) + saturation_vapour_pressure(tmin_c)) / 2;
}
double vapour_pressure_slope(double t_c) { return 4098 * saturation_vapour_pressure(t_c) / ((t_c + 237.3) * (t_c + 237.3)); }
double vapour_pressure_from_dew_point(double t_dew_c) { return saturation_vapour_pressure(t_dew_c); }
double vapour_pressure_from_wet_bulb(double t_wet_c, double t_dry_c, double pressure_kpa, double coefficient) {
  return saturation_vapour_pressure(t_wet_c) - coefficient * pressure_kpa * (t_dry_c - t_wet_c);
}
double vapour_pressure_from_humidity(double tmin_c, double tmax_c, double rh_max_pct, double rh_min_pct) {
  return (saturation_vapour_pressure(tmin_c) * rh_max_pct + saturation_vapour_pressure(tmax_c) * rh_min_pct) / 200;
}
double vapour_pressure_from_max_humidity(double tmin_c, double rh_max_pct) { return saturation_vapour_pressure(tmin_c) * rh_max_pct / 100; }
double vapour_pressure_from_mean_humidity(double tmin_c, double tmax_c, double rh_mean_pct) {
  return rh_mean_pct / 100 * mean_saturation_vapour_pressure(tmin_c, tmax_c);
}

double radians(double degrees) { return degrees * kPi / 180; }
double inverse_relative_distance(int day_of_year) { return 1 + 0.033 * std::cos(2 * kPi / 365 * day_of_year); }
double solar_declination(int day_of_year) { return 0.409 * std::sin(2 * kPi / 365 * day_of_year - 1.39); }
double sunset_hour_angle(double latitude_rad, double declination_rad) {
  return std::acos(std::clamp(-std::tan(latitude_rad) * std::tan(declination_rad), -1.0, 1.0));
}
double extraterrestrial_radiation(double latitude_rad, int day_of_year) {
  const double declination = solar_declination(day_of_year);
  const double ws = sunset_hour_angle(latitude_rad, declination);
  const double beam = ws * std::sin(latitude_rad) * std::sin(declination) + std::cos(latitude_rad) * std::cos(declination) * std::sin(ws);
  return std::max(0.0, 24 * 60 / kPi * kSolarConstant * inverse_relative_distance(day_of_year) * beam);
}
double daylight_hours(double sunset_angle_rad) { return 24 / kPi * sunset_angle_rad; }
double radiation_from_sunshine(double sunshine_h, double daylight_h, double ra) { return (0.25 + 0.50 * sunshine_h / daylight_h) * ra; }
double clear_sky_radiation(double elevation_m, double ra) { return (0.75 + 2e-5 * elevation_m) * ra; }
double net_shortwave(double rs) { return 0.77 * rs; }
double net_longwave(double tmin_c, double tmax_c, double ea_kpa, double rs, double rso) {
  const double clearness = rso > 0 ? std::min(1.0, rs / rso) : 1.0;
  const double emitted = kStefanBoltzmann * (fourth_power(tmax_c + 273.16) + fourth_power(tmin_c + 273.16)) / 2;
  return emitted * (0.34 - 0.14 * std::sqrt(ea_kpa)) * (1.35 * clearness - 0.35);
}
double soil_heat_flux_month(double t_month_before_c, double t_month_after_c) { return 0.07 * (t_month_after_c - t_month_before_c); }
double soil_heat_flux_month_without_next(double t_month_before_c, double t_month_c) { return 0.14 * (t_month_c - t_month_before_c); }
double wind_at_2m(double wind_m_s, double height_m) { return wind_m_s * 4.87 / std::log(67.8 * height_m - 5.42); }
double radiation_from_range(double tmin_c, double tmax_c, double ra, double krs) {
  return krs * std::sqrt(std::max(tmax_c - tmin_c, 0.0)) * ra;
}

double penman_monteith_mm(const PenmanMonteith& day) {
  const double aerodynamic = day.gamma * 900 / (day.t_mean_c + 273) * day.u2_m_s * (day.es_kpa - day.ea_kpa);
  return (kMmPerMj * day.slope * (day.rn - day.soil_heat) + aerodynamic) / (day.slope + day.gamma * (1 + 0.34 * day.u2_m_s));
}
double hargreaves_mm(double tmin_c, double tmax_c, double t_mean_c, double ra) {
  return 0.0023 * (t_mean_c + 17.8) * std::sqrt(std::max(tmax_c - tmin_c, 0.0)) * (kMmPerMj * ra);
}

Et0Method choose_et0_method(const WeatherArchive& archive) {
  if (!archive.et0_cmm.empty()) return Et0Method::given;
  const bool enough = !archive.radiation_cmj.empty() || (!archive.wind_cms.empty() && !archive.vapour_pa.empty());
  return enough ? Et0Method::penman_monteith : Et0Method::hargreaves;
}

std::string et0_method(const WeatherArchive& archive) {
  switch (choose_et0_method(archive)) {
    case Et0Method::given:
      return "ET0 as given by the rasters";
    case Et0Method::hargreaves:
      return "Hargreaves (FAO-56 eq. 52) from temperature alone";
    case Et0Method::penman_monteith:
      break;
  }
  std::string text = "Penman-Monteith (FAO-56 eq. 6)";
  if (archive.radiation_cmj.empty()) text += "; radiation from the temperature range (eq. 50)";
  if (archive.wind_cms.empty()) text += "; wind taken as the default wind";
  if (archive.vapour_pa.empty()) text += "; vapour pressure taken as saturation at the lowest temperature (eq. 48)";
  return text;
}

}  // namespace rickyard
