#pragma once
// Daily weather of one cell in physical units, with a case's changes applied to the quantised values before ET0.
#include <array>
#include <vector>

#include "planner/base/parameters.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"
#include "planner/weather/et0.h"

namespace rickyard {

struct WeatherSettings {
  double wind_default_m_s = 2, krs = 0.16;
  static WeatherSettings from(const ParameterSet& parameters);
};

/// Radiation outside the atmosphere and day length by day of the year (index 1..366), which depend on latitude alone.
struct SunTable {
  std::array<double, 367> ra_mj{}, daylight_h{};
};
SunTable sun_table(double latitude_deg);

/// Weather of consecutive days of one cell: all arrays [day].
struct CellDays {
  std::vector<double> rain_mm, tmin_c, tmax_c, et0_mm;
  std::vector<double> radiation_mj;  // given, else eq. 50, at most clear-sky radiation
  std::vector<double> vapour_kpa;    // given, else e0(tmin); only with Penman-Monteith or a given vapour pressure, else empty
  std::vector<double> daylight_h;
  std::vector<int> warmth;  // tmin + tmax in 0.01 C: exact, 200 times the mean temperature
};

/// Whether a patch changes the weather that crops see.
bool changes_weather(const SeasonPatch& patch);

/// Reads cells of an archive. Holds references: archive and cells must outlive it.
class CellDayReader {
 public:
  CellDayReader(const WeatherArchive& archive, const std::vector<WeatherCell>& cells, const WeatherSettings& settings,
                const SeasonPatch& patch);

  /// Days [first, first + days) of the archive (0-based) into `out`; sun must be the table of the cell's latitude.
  /// A missing value of rain, temperature or given ET0 is an InputError that names cell and date; a missing value of wind,
  /// vapour pressure or radiation is filled like an array that was not supplied.
  void read(int cell, const SunTable& sun, int first, int days, CellDays& out) const;

  /// Whether all comes from rain, tmin and tmax: what the crop kernel reads by itself, sixteen cells at a time.
  bool plain() const;
  const WeatherArchive& archive() const { return archive_; }
  double krs() const { return settings_.krs; }
  int shift_cc() const { return shift_cc_; }
  double rain_factor(int day) const { return rain_factor_[month_[static_cast<std::size_t>(day)]]; }
  int day_of_year(int day) const { return day_of_year_[static_cast<std::size_t>(day)]; }

 private:
  struct Sky {
    double ra_mj, rso_mj, gamma;  // radiation outside the atmosphere and under a clear sky; psychrometric constant
  };
  double vapour(std::size_t at, double tmin_c) const;
  double radiation(std::size_t at, double tmin_c, double tmax_c, const Sky& sky) const;
  double et0(std::size_t at, double tmin_c, double tmax_c, double vapour_kpa, double radiation_mj, const Sky& sky) const;
  [[noreturn]] void refuse(const char* what, int day, int cell) const;

  const WeatherArchive& archive_;
  const std::vector<WeatherCell>& cells_;
  WeatherSettings settings_;
  Et0Method method_;
  std::array<double, 12> rain_factor_;
  int shift_cc_;                      // temperature shift in 0.01 C
  std::vector<short> day_of_year_;    // [archive day]
  std::vector<unsigned char> month_;  // [archive day], 0 = January
};

}  // namespace rickyard
