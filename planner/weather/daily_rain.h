#pragma once
// Daily rain of one cell from monthly totals: a two-state Markov chain for wet days and gamma amounts, totals kept exactly.
#include <cstdint>
#include <span>
#include <vector>

#include "planner/base/calendar.h"
#include "planner/base/parameters.h"

namespace rickyard {

inline constexpr int kMostRainCmm = 65534;

/// The law of wet days and their amounts (parameters of METHODS.md, "Monthly archives").
struct RainLaw {
  double mean_mm = 0, exponent = 0;  // wet days from rain, where no raster counts them
  double persistence = 0;            // chance of rain after a wet day less the chance after a dry one
  double shape = 0;                  // of the amounts; 0: from the mean of the month's wet days
  long long least_cmm = 10;          // a wet day has at least this
  double common_share = 0;           // of the variance of the normals behind the draws, common to all cells
  static RainLaw from(const ParameterSet& parameters);
};

/// Shape of the gamma law of amounts whose mean is mean_mm: x / (1.83 x - 2.16), x = max(mean, 3 mm)
/// (Geng, Penning de Vries & Supit 1986).
double geng_shape(double mean_mm);

/// [month] wet days to expect: counted ones where they are given (not NaN), else c x rain^exponent with c such that the mean
/// wet day of the whole series has law.mean_mm. rain_mm: [month], NaN where missing; counted: [month] or empty.
std::vector<double> expected_wet_days(const RainLaw& law, std::span<const double> rain_mm, std::span<const double> counted);

inline constexpr std::uint32_t kCommonPlace = 0xFFFFFFFFu;

/// State of the day before a month.
enum class DayBefore { unknown, dry, wet };

struct MonthOfRain {
  Month month;
  long long total_cmm = 0;  // 0 .. kMostRainCmm x days
  double wet_days = 0;      // expected, or counted
  bool counted = false;     // the number of wet days is known and kept
};

/// [day] rain in 0.01 mm, summing to total_cmm. before: becomes the state of the month's last day.
/// Draws: DrawPurpose::disaggregation, counter (calendar year, month 1..12, place, 64 variant + 2 day + {0 occurrence, 1 amount}), day
/// from 0; place: the cell for its own part, kCommonPlace for what all cells share.
std::vector<long long> daily_rain(const RainLaw& law, const MonthOfRain& month, int cell, int variant, unsigned seed, DayBefore& before);

/// Whole numbers near `values` with the given sum: rounded down, then one more for the largest remainders, earlier first on ties.
std::vector<long long> apportion(const std::vector<double>& values, long long sum);

}  // namespace rickyard
