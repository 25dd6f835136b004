// The weather against the scheme it is drawn from: Richardson (1981), Water Resources Research 17(1), 182-190.
// Expected figures are the parameters the generator was given; tolerances are sampling errors of 31 years.
#include <doctest/doctest.h>

#include <algorithm>
#include <array>

#include "tests/demo/made_weather.h"

namespace rickyard::demo {
namespace {

/// Calls f(year index, day, wet yesterday, law) for each day but the very first of one cell.
template <class F>
void each_day(std::size_t cell, F f) {
  const auto& made = made_weather();
  bool was_wet = false, first = true;
  for (std::size_t y = 0; y < made.years.size(); ++y)
    for (int day = 0; day < made.years[y].days; ++day) {
      const bool wet = made.years[y].rain_dmm[made.years[y].at(day, cell)] > 0;
      if (!first) f(y, day, was_wet, wet);
      was_wet = wet;
      first = false;
    }
}

/// How far the number of wet days after a dry (or wet) day lies from what the transition probabilities give, in
/// standard errors. `bend` multiplies the probabilities, to show that the test can fail.
double transition_error(std::size_t cell, bool after_wet, double bend) {
  const auto& made = made_weather();
  double seen = 0, expected = 0, variance = 0;
  each_day(cell, [&](std::size_t y, int day, bool was_wet, bool wet) {
    if (was_wet != after_wet) return;
    const RainLaw law = rain_law(made.isles.climates[cell], made.anomalies[y], day + 1);
    const double p = std::min(0.99, bend * (after_wet ? law.wet_after_wet : law.wet_after_dry));
    seen += wet;
    expected += p;
    variance += p * (1 - p);
  });
  return (seen - expected) / std::sqrt(variance);
}

}  // namespace

TEST_CASE("wet follows dry, and wet follows wet, as often as the transition probabilities say") {
  int bent = 0;
  for (const std::size_t cell : sample_cells())
    for (const bool after_wet : {false, true}) {
      CAPTURE(cell);
      CAPTURE(after_wet);
      CHECK(std::abs(transition_error(cell, after_wet, 1)) < 4);  // 88 trials; 4 standard errors are passed once in 16,000
      bent += std::abs(transition_error(cell, after_wet, 1.1)) > 4;
    }
  CHECK(bent > 60);  // probabilities a tenth too large are noticed
}

TEST_CASE("the chance of rain remembers yesterday") {
  for (const std::size_t cell : sample_cells()) {
    std::vector<double> today, yesterday;
    each_day(cell, [&](std::size_t, int, bool was_wet, bool wet) { yesterday.push_back(was_wet), today.push_back(wet); });
    CAPTURE(cell);
    // Given 0.32 within a day of the year; seasons and odd years add a little, sampling error is 0.01.
    CHECK(correlation(yesterday, today) > kPersistence - 0.03);
    CHECK(correlation(yesterday, today) < kPersistence + 0.08);
  }
}

TEST_CASE("wet days are as frequent as the given probabilities make them, more in the west") {
  double lee = 0, windward = 0, lee_cells = 0, windward_cells = 0;
  for (const std::size_t cell : sample_cells()) {
    double wet_days = 0, days = 0;
    each_day(cell, [&](std::size_t, int, bool, bool wet) { wet_days += wet, days += 1; });
    const double rain = made_weather().isles.climates[cell].annual_rain_mm;
    if (rain < 640) lee += wet_days / days, lee_cells += 1;
    if (rain > 1300) windward += wet_days / days, windward_cells += 1;
  }
  REQUIRE(lee_cells >= 5);
  REQUIRE(windward_cells >= 3);
  CHECK(lee / lee_cells == doctest::Approx(0.40).epsilon(0.05));            // given: 0.40 in the lee
  CHECK(windward / windward_cells == doctest::Approx(0.63).epsilon(0.05));  // given: 0.61 to 0.65 near the coast
}

TEST_CASE("rain on wet days is gamma distributed with the given mean and shape") {
  const auto& made = made_weather();
  for (const std::size_t cell : sample_cells()) {
    double n = 0, sum = 0, squares = 0;
    each_day(cell, [&](std::size_t y, int day, bool, bool wet) {
      if (!wet) return;
      const RainLaw law = rain_law(made.isles.climates[cell], made.anomalies[y], day + 1);
      const double rain_mm = 0.1 * made.years[y].rain_dmm[made.years[y].at(day, cell)];
      const double share = (rain_mm - kLeastRainMm) / (law.mean_wet_day_mm - kLeastRainMm);
      n += 1, sum += share, squares += share * share;
    });
    const double mean = sum / n, variance = squares / n - mean * mean;
    CAPTURE(cell);
    CHECK(std::abs(mean - 1) < 4 * std::sqrt(1 / kGammaShape / n));
    CHECK(variance == doctest::Approx(1 / kGammaShape).epsilon(0.15));  // variance of mean-1 gamma = 1 / shape
  }
}

TEST_CASE("temperature residuals keep the given same-day and next-day correlations") {
  const auto& made = made_weather();
  const std::size_t cell = 1000;
  std::array<std::vector<double>, 2> today;  // tmax, tmin
  each_day(cell, [&](std::size_t y, int day, bool, bool wet) {
    const auto& year = made.years[y];
    const TemperatureLaw law = temperature_law(made.isles.climates[cell], made.anomalies[y], day + 1, wet);
    today[0].push_back((0.1 * year.tmax_dc[year.at(day, cell)] - law.tmax_mean_c) / law.tmax_sd_c);
    today[1].push_back((0.1 * year.tmin_dc[year.at(day, cell)] - law.tmin_mean_c) / law.tmin_sd_c);
  });
  CHECK(correlation(today[0], today[1]) == doctest::Approx(kSameDay).epsilon(0.06));
  for (std::size_t a = 0; a < 2; ++a)
    for (std::size_t b = 0; b < 2; ++b) {
      CAPTURE(a);
      CAPTURE(b);
      const std::vector<double> later(today[a].begin() + 1, today[a].end()), earlier(today[b].begin(), today[b].end() - 1);
      CHECK(std::abs(correlation(later, earlier) - kNextDay[a][b]) < 0.05);  // sampling error about 0.015
    }
}

TEST_CASE("months: rain and warmth within the bands of an oceanic climate at 56 N") {
  const auto& made = made_weather();
  std::array<double, 12> lee{}, windward{}, warmth{};
  double lee_cells = 0, windward_cells = 0, low_cells = 0;
  for (std::size_t c = 0; c < made.isles.climates.size(); ++c) {
    const auto& climate = made.isles.climates[c];
    const bool in_lee = climate.annual_rain_mm<640, on_coast = climate.annual_rain_mm> 1400, low = climate.elevation_m < 100;
    lee_cells += in_lee, windward_cells += on_coast, low_cells += low;
    for (const auto& year : made.years)
      for (int day = 0, month = 0, left = 31; day < year.days; ++day) {
        if (left == 0) {
          constexpr int kDays[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
          ++month;
          left = kDays[month] + (month == 1 && year.days == 366 ? 1 : 0);
        }
        --left;
        const auto m = static_cast<std::size_t>(month);
        const std::size_t at = year.at(day, c);
        if (in_lee) lee[m] += 0.1 * year.rain_dmm[at] / 31;
        if (on_coast) windward[m] += 0.1 * year.rain_dmm[at] / 31;
        if (low) warmth[m] += 0.05 * (year.tmin_dc[at] + year.tmax_dc[at]) / 31 / 30.4;
      }
  }
  double lee_year = 0, windward_year = 0;
  for (std::size_t m = 0; m < 12; ++m) {
    CAPTURE(m);
    lee[m] /= lee_cells, windward[m] /= windward_cells, warmth[m] /= low_cells;
    lee_year += lee[m], windward_year += windward[m];
    CHECK(lee[m] > 30);
    CHECK(lee[m] < 75);
    CHECK(windward[m] > 70);
    CHECK(windward[m] < 185);
    CHECK(windward[m] > 1.8 * lee[m]);
  }
  CHECK(lee_year == doctest::Approx(600).epsilon(0.08));        // the demo's own design
  CHECK(windward_year == doctest::Approx(1480).epsilon(0.08));  // the demo's own design
  CHECK(std::abs(warmth[0] - 4.0) < 1.0);                       // January mean of the design, C
  CHECK(std::abs(warmth[6] - 14.5) < 1.0);                      // July mean of the design, C
}

TEST_CASE("weather is shared by neighbours and less by far places") {
  const auto& made = made_weather();
  const auto wet_series = [](std::size_t cell) {
    std::vector<double> series;
    each_day(cell, [&](std::size_t, int, bool, bool wet) { series.push_back(wet); });
    return series;
  };
  // One cell in the south-west of the main island, its neighbour, and the farthest cell.
  const auto& climates = made.isles.climates;
  std::size_t near = 0, far = 0;
  const std::size_t here = 1500;
  double least = 1e9, most = 0;
  for (std::size_t c = 0; c < climates.size(); ++c) {
    const double d = std::hypot(0.56 * (climates[c].lon_deg - climates[here].lon_deg), climates[c].lat_deg - climates[here].lat_deg);
    if (c != here && d < least) least = d, near = c;
    if (d > most) most = d, far = c;
  }
  REQUIRE(most > 1.0);  // over 110 km
  const auto series = wet_series(here);
  CHECK(correlation(series, wet_series(near)) > 0.7);
  CHECK(correlation(series, wet_series(far)) > 0.05);
  CHECK(correlation(series, wet_series(far)) < 0.6);
}

TEST_CASE("three springs in thirty-one are severely dry in the lee, and some are wet") {
  const auto& made = made_weather();
  std::vector<std::pair<double, int>> totals;  // April-July rain of the lee, mm, and year
  double others = 0;
  for (const auto& year : made.years) {
    double sum = 0, n = 0;
    const int april = year.days - 275;  // 0-based day of 1 April
    for (std::size_t c = 0; c < made.isles.climates.size(); ++c) {
      if (made.isles.climates[c].annual_rain_mm >= 640) continue;
      n += 1;
      for (int day = april; day < april + 122; ++day) sum += 0.1 * year.rain_dmm[year.at(day, c)];
    }
    totals.emplace_back(sum / n, year.year);
    if (std::ranges::find(kDryYears, year.year) == std::ranges::end(kDryYears)) others += sum / n / 28;
  }
  std::ranges::sort(totals);
  for (std::size_t i = 0; i < 3; ++i) {
    CAPTURE(totals[i].second);
    CHECK(std::ranges::find(kDryYears, totals[i].second) != std::ranges::end(kDryYears));
    CHECK(totals[i].first / others > 0.33);
    CHECK(totals[i].first / others < 0.55);
  }
  CHECK(totals[3].first / others > 0.6);
  CHECK(totals[28].first / others > 1.25);
}

}  // namespace rickyard::demo
