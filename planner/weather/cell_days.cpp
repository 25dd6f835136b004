#include "planner/weather/cell_days.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "planner/base/problem.h"

namespace rickyard {

WeatherSettings WeatherSettings::from(const ParameterSet& parameters) {
  return {parameters["wind_default_m_s"], parameters["radiation_krs"]};
}

SunTable sun_table(double latitude_deg) {
  SunTable table;
  const double latitude = radians(latitude_deg);
  for (int j = 1; j <= 366; ++j) {
    table.ra_mj[static_cast<std::size_t>(j)] = extraterrestrial_radiation(latitude, j);
    table.daylight_h[static_cast<std::size_t>(j)] = daylight_hours(sunset_hour_angle(latitude, solar_declination(j)));
  }
  return table;
}

bool changes_weather(const SeasonPatch& patch) {
  const bool rain = std::any_of(patch.rain_factor.begin(), patch.rain_factor.end(), [](double factor) { return factor != 1; });
  return rain || std::lround(100 * patch.temperature_shift_c) != 0;
}

CellDayReader::CellDayReader(const WeatherArchive& archive, const std::vector<WeatherCell>& cells, const WeatherSettings& settings,
                             const SeasonPatch& patch)
    : archive_(archive),
      cells_(cells),
      settings_(settings),
      method_(choose_et0_method(archive)),
      rain_factor_(patch.rain_factor),
      shift_cc_(static_cast<int>(std::lround(100 * patch.temperature_shift_c))) {
  const int first = day_number(archive.first_day);
  for (int day = 0; day < archive.days; ++day) {
    const Date date = date_of(first + day);
    day_of_year_.push_back(static_cast<short>(rickyard::day_of_year(date)));
    month_.push_back(static_cast<unsigned char>(date.month().as_number() - 1));
  }
}

bool CellDayReader::plain() const {
  return method_ == Et0Method::hargreaves && archive_.wind_cms.empty() && archive_.vapour_pa.empty() && archive_.radiation_cmj.empty();
}

void CellDayReader::refuse(const char* what, int day, int cell) const {
  const auto& where = cells_[static_cast<std::size_t>(cell)];
  Problem problem;
  problem.place = fmt::format("rasters.{}: cell {} at {:.4f} E {:.4f} N, {}", what, cell, where.lon_deg, where.lat_deg,
                              to_text(date_of(day_number(archive_.first_day) + day)));
  problem.message = "there is no value on this day";
  problem.remedy = "fill the gap, leave the cell out, or shorten the archive";
  throw InputError({problem});
}

double CellDayReader::vapour(std::size_t at, double tmin_c) const {
  const double saturated = saturation_vapour_pressure(tmin_c);
  if (archive_.vapour_pa.empty() || archive_.vapour_pa[at] == WeatherArchive::kMissingOther) return saturated;
  const double given = archive_.vapour_pa[at] / 1000.0;
  // A warmer case keeps the relative humidity, as the fallback e0(tmin) does.
  return shift_cc_ == 0 ? given : given * saturated / saturation_vapour_pressure(tmin_c - shift_cc_ / 100.0);
}

double CellDayReader::radiation(std::size_t at, double tmin_c, double tmax_c, const Sky& sky) const {
  const bool given = !archive_.radiation_cmj.empty() && archive_.radiation_cmj[at] != WeatherArchive::kMissingOther;
  return given ? archive_.radiation_cmj[at] / 100.0 : std::min(radiation_from_range(tmin_c, tmax_c, sky.ra_mj, settings_.krs), sky.rso_mj);
}

double CellDayReader::et0(std::size_t at, double tmin_c, double tmax_c, double vapour_kpa, double radiation_mj, const Sky& sky) const {
  const double t_mean = (tmin_c + tmax_c) / 2;
  if (method_ == Et0Method::hargreaves) return std::max(hargreaves_mm(tmin_c, tmax_c, t_mean, sky.ra_mj), 0.0);
  if (method_ == Et0Method::given) {
    const double given = archive_.et0_cmm[at] / 100.0, unshifted = t_mean - shift_cc_ / 100.0 + 17.8;
    return shift_cc_ == 0 || !(unshifted > 0) ? given : given * std::max((t_mean + 17.8) / unshifted, 0.0);  // as eq. 52 would change
  }
  const bool windy = !archive_.wind_cms.empty() && archive_.wind_cms[at] != WeatherArchive::kMissingOther;
  const double es = mean_saturation_vapour_pressure(tmin_c, tmax_c), ea = std::min(vapour_kpa, es);
  PenmanMonteith day{};
  day.t_mean_c = t_mean;
  day.u2_m_s = windy ? archive_.wind_cms[at] / 100.0 : settings_.wind_default_m_s;
  day.es_kpa = es;
  day.ea_kpa = ea;
  day.slope = vapour_pressure_slope(t_mean);
  day.gamma = sky.gamma;
  day.rn = net_shortwave(radiation_mj) - net_longwave(tmin_c, tmax_c, ea, radiation_mj, sky.rso_mj);
  return std::max(penman_monteith_mm(day), 0.0);
}

void CellDayReader::read(int cell, const SunTable& sun, int first, int days, CellDays& out) const {
  archive_.require(cell, 1);
  const auto n = static_cast<std::size_t>(days);
  for (auto* series : {&out.rain_mm, &out.tmin_c, &out.tmax_c, &out.et0_mm, &out.radiation_mj, &out.daylight_h}) series->resize(n);
  out.warmth.resize(n);
  const bool humid = method_ == Et0Method::penman_monteith || !archive_.vapour_pa.empty();
  out.vapour_kpa.resize(humid ? n : 0);
  const double elevation_m = cells_[static_cast<std::size_t>(cell)].elevation_m;
  const double gamma = psychrometric_constant(air_pressure_kpa(elevation_m));
  for (std::size_t d = 0; d < n; ++d) {
    const int day = first + static_cast<int>(d);
    const std::size_t at = archive_.at(day, cell);
    if (archive_.rain_cmm[at] == WeatherArchive::kMissingRain) refuse("rain", day, cell);
    if (archive_.tmin_cc[at] == WeatherArchive::kMissingTemperature) refuse("tmin", day, cell);
    if (archive_.tmax_cc[at] == WeatherArchive::kMissingTemperature) refuse("tmax", day, cell);
    if (method_ == Et0Method::given && archive_.et0_cmm[at] == WeatherArchive::kMissingOther) refuse("et0", day, cell);
    const int tmin_cc = archive_.tmin_cc[at] + shift_cc_, tmax_cc = archive_.tmax_cc[at] + shift_cc_;
    const double factor = rain_factor_[static_cast<std::size_t>(month_[static_cast<std::size_t>(day)])];
    const double rain_cmm = factor == 1 ? archive_.rain_cmm[at] : std::floor(archive_.rain_cmm[at] * factor + 0.5);
    const auto j = static_cast<std::size_t>(day_of_year_[static_cast<std::size_t>(day)]);
    out.rain_mm[d] = rain_cmm / 100;
    out.tmin_c[d] = tmin_cc / 100.0;
    out.tmax_c[d] = tmax_cc / 100.0;
    out.warmth[d] = tmin_cc + tmax_cc;
    out.daylight_h[d] = sun.daylight_h[j];
    const double vapour_kpa = humid ? vapour(at, out.tmin_c[d]) : 0;
    if (humid) out.vapour_kpa[d] = vapour_kpa;
    const Sky sky{sun.ra_mj[j], clear_sky_radiation(elevation_m, sun.ra_mj[j]), gamma};
    out.radiation_mj[d] = radiation(at, out.tmin_c[d], out.tmax_c[d], sky);
    out.et0_mm[d] = et0(at, out.tmin_c[d], out.tmax_c[d], vapour_kpa, out.radiation_mj[d], sky);
  }
}

}  // namespace rickyard
