#pragma once
// Daily weather by Richardson's scheme (1981), correlated in space: two-state first-order Markov rain occurrence,
// gamma amounts, and temperature residuals with the lag-0 and lag-1 correlations of two variables.
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "demo-regions/cell_weather.h"

namespace rickyard::demo {

/// One calendar year. Arrays: [day][cell], cell fastest; day 0 = 1 January. Tenths: 0.1 mm and 0.1 C.
struct YearOfWeather {
  int year = 0, days = 0;
  std::size_t cells = 0;
  std::vector<std::int16_t> rain_dmm, tmin_dc, tmax_dc;
  std::size_t at(int day, std::size_t cell) const { return static_cast<std::size_t>(day) * cells + cell; }
};

int days_in_year(int year);
/// YYYY-MM-DD of a day of the year, 1 = 1 January.
std::string iso_date(int year, int day_of_year);

/// Correlations of the standardised residuals of (tmax, tmin): same day, and tmax or tmin of today (row) with
/// tmax or tmin of yesterday (column). Averages over the United States as used with the scheme; from memory.
inline constexpr double kSameDay = 0.633;
inline constexpr double kNextDay[2][2] = {{0.621, 0.445}, {0.563, 0.674}};

/// Calls `take` with each year in order, `years` anomalies long. The same draws for the same seed and cells.
void generate_weather(const std::vector<CellClimate>& cells, const std::vector<YearAnomaly>& years, unsigned seed,
                      const std::function<void(const YearOfWeather&)>& take);

}  // namespace rickyard::demo
