#pragma once
// Reference evapotranspiration: FAO-56 (Allen, Pereira, Raes & Smith 1998), one function per equation, and the choice
// of method that an archive allows. Temperatures in C, pressures in kPa, radiation in MJ/m2/d, latitudes in radians.
#include <string>

#include "planner/weather/archive.h"

namespace rickyard {

/// Eq. 7. elevation_m above sea level.
double air_pressure_kpa(double elevation_m);
/// Eq. 8.
double psychrometric_constant(double pressure_kpa);
/// Eq. 11, e0(T).
double saturation_vapour_pressure(double t_c);
/// Eq. 12: the mean of e0 at tmin and tmax, never e0 at the mean temperature.
double mean_saturation_vapour_pressure(double tmin_c, double tmax_c);
/// Eq. 13, slope of e0 at t_c, kPa/C.
double vapour_pressure_slope(double t_c);
/// Eq. 14.
double vapour_pressure_from_dew_point(double t_dew_c);
/// Coefficients of eq. 16 by kind of psychrometer, 1/C.
inline constexpr double kVentilatedPsychrometer = 0.000662, kNaturalPsychrometer = 0.000800, kIndoorPsychrometer = 0.001200;
/// Eqs 15 and 16.
double vapour_pressure_from_wet_bulb(double t_wet_c, double t_dry_c, double pressure_kpa, double coefficient);
/// Eqs 17, 18, 19; relative humidity in percent.
double vapour_pressure_from_humidity(double tmin_c, double tmax_c, double rh_max_pct, double rh_min_pct);
double vapour_pressure_from_max_humidity(double tmin_c, double rh_max_pct);
double vapour_pressure_from_mean_humidity(double tmin_c, double tmax_c, double rh_mean_pct);

double radians(double degrees);
/// Eqs 23 and 24; day_of_year 1..366.
double inverse_relative_distance(int day_of_year);
double solar_declination(int day_of_year);
/// Eq. 25, radians; 0 in polar night and pi under the midnight sun.
double sunset_hour_angle(double latitude_rad, double declination_rad);
/// Eq. 21.
double extraterrestrial_radiation(double latitude_rad, int day_of_year);
/// Eq. 34, hours.
double daylight_hours(double sunset_angle_rad);
/// Eq. 35 with a = 0.25 and b = 0.50.
double radiation_from_sunshine(double sunshine_h, double daylight_h, double ra);
/// Eq. 37.
double clear_sky_radiation(double elevation_m, double ra);
/// Eq. 38, albedo 0.23.
double net_shortwave(double rs);
/// Eq. 39; rs / rso is limited to 1, and taken as 1 where rso is 0.
double net_longwave(double tmin_c, double tmax_c, double ea_kpa, double rs, double rso);
/// Eqs 43 and 44.
double soil_heat_flux_month(double t_month_before_c, double t_month_after_c);
double soil_heat_flux_month_without_next(double t_month_before_c, double t_month_c);
/// Eq. 47; height_m of the anemometer.
double wind_at_2m(double wind_m_s, double height_m);
/// Eq. 50; krs 0.16 inland to 0.19 on coasts.
double radiation_from_range(double tmin_c, double tmax_c, double ra, double krs);

/// What eq. 6 needs.
struct PenmanMonteith {
  double t_mean_c, u2_m_s, es_kpa, ea_kpa, slope, gamma, rn, soil_heat;
};
/// Eq. 6, mm/d.
double penman_monteith_mm(const PenmanMonteith& day);
/// Eq. 52, mm/d; ra in MJ/m2/d (multiplied by 0.408 inside).
double hargreaves_mm(double tmin_c, double tmax_c, double t_mean_c, double ra);

/// Where the ET0 of a run comes from.
enum class Et0Method {
  given,            // the archive holds ET0
  penman_monteith,  // radiation is given, or wind and vapour pressure both are
  hargreaves        // temperature only
};
Et0Method choose_et0_method(const WeatherArchive& archive);
/// The same in words, with what is filled in, for the list of assumptions.
std::string et0_method(const WeatherArchive& archive);

}  // namespace rickyard
