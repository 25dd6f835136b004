#pragma once
// How one year differs from the next: anomalies of rain and warmth that the whole archipelago shares.
#include <vector>

namespace rickyard::demo {

inline constexpr int kFirstYear = 1996, kLastYear = 2026;   // 31 calendar years hold 30 seasons from 1 September to 31 October
inline constexpr int kDryYears[] = {2002, 2011, 2022};      // severe drought from April to July ...
inline constexpr double kDryFactor[] = {0.42, 0.48, 0.36};  // ... with this share of normal rain expected; what falls varies about it
inline constexpr int kWetYears[] = {1998, 2007, 2017};      // half as much rain again from April to July

/// Parts of a year: January-March, April-July, August-September, October-December.
inline constexpr int kParts = 4;

struct YearAnomaly {
  int year = 0;
  double rain_factor[kParts] = {1, 1, 1, 1};  // of normal rain in the lee; the windward coast feels it less
  double warmth_c[kParts] = {0, 0, 0, 0};     // added to the daily mean
};

/// One anomaly a year from kFirstYear to kLastYear.
std::vector<YearAnomaly> make_year_anomalies(unsigned seed);

/// The rain factor at a place and day: lee_share 1 in the lee, 0 on the wettest coast. Parts meet in ramps of 20 days.
double rain_factor_on(const YearAnomaly& anomaly, int day_of_year, double lee_share);
double warmth_on(const YearAnomaly& anomaly, int day_of_year);

}  // namespace rickyard::demo
