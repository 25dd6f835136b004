#include "demo-regions/weather_years.h"

#include <algorithm>
#include <cmath>
#include <ranges>

#include "demo-regions/random_numbers.h"

namespace rickyard::demo {
namespace {

constexpr int kPartStart[kParts + 1] = {1, 91, 213, 274, 367};  // days of the year
constexpr int kRamp = 20;                                       // days over which one part gives way to the next

double value_on(const double (&parts)[kParts], int day_of_year) {
  int part = 0;
  while (part + 1 < kParts && day_of_year >= kPartStart[part + 1]) ++part;
  const int since = day_of_year - kPartStart[part];
  if (part == 0 || since >= kRamp) return parts[part];
  const double share = (since + 0.5) / kRamp;
  return parts[part - 1] * (1 - share) + parts[part] * share;
}

}  // namespace

std::vector<YearAnomaly> make_year_anomalies(unsigned seed) {
  Draws draws(seed, 401);
  std::vector<YearAnomaly> years;
  for (int year = kFirstYear; year <= kLastYear; ++year) {
    YearAnomaly anomaly;
    anomaly.year = year;
    for (int part = 0; part < kParts; ++part) {
      const double rain = draws.normal(), warmth = draws.normal();
      anomaly.rain_factor[part] = std::clamp(std::exp(0.20 * rain), part == 1 ? 0.85 : 0.72, 1.32);  // no second kind of drought
      anomaly.warmth_c[part] = 0.45 * warmth - 0.25 * rain;
    }
    const double severity = draws.uniform();
    if (const auto* dry = std::ranges::find(kDryYears, year); dry != std::ranges::end(kDryYears)) {
      anomaly.rain_factor[0] = std::min(anomaly.rain_factor[0], 0.85);
      anomaly.rain_factor[1] = kDryFactor[dry - std::ranges::begin(kDryYears)];
      anomaly.warmth_c[1] = 1.0 + 0.4 * severity;
    }
    if (std::ranges::find(kWetYears, year) != std::ranges::end(kWetYears)) {
      anomaly.rain_factor[1] = 1.5 + 0.1 * severity;
      anomaly.rain_factor[2] = std::max(anomaly.rain_factor[2], 1.25);
      anomaly.warmth_c[1] = -0.5 - 0.4 * severity;
    }
    years.push_back(anomaly);
  }
  return years;
}

double rain_factor_on(const YearAnomaly& anomaly, int day_of_year, double lee_share) {
  return std::pow(value_on(anomaly.rain_factor, day_of_year), 0.6 + 0.4 * lee_share);
}

double warmth_on(const YearAnomaly& anomaly, int day_of_year) { return value_on(anomaly.warmth_c, day_of_year); }

}  // namespace rickyard::demo
