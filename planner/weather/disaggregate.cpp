#include "planner/weather/disaggregate.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "planner/base/blocks.h"
#include "planner/base/problem.h"
#include "planner/weather/daily_rain.h"

namespace rickyard {
namespace {

// Weights of the node values of the month before, this month and the month after in this month's mean, for lines between month centres.
struct MeanWeights {
  double before = 0, own = 0, after = 0;
};

// Position of a day's middle in its month, -0.5 .. 0.5 of the month's length around the centre; the day's line runs towards a neighbour.
double line_share(std::size_t day, double days_own, double days_neighbour) {
  const double distance = std::abs(static_cast<double>(day) + 0.5 - days_own / 2);
  return distance / ((days_own + days_neighbour) / 2);
}

// Values for the days of a run of months without gaps, whose monthly means are exactly `means`: straight lines between month
// centres through node values that solve a tridiagonal system; flat before the first centre and after the last.
std::vector<double> daily_values(const std::vector<double>& means, const std::vector<int>& lengths) {
  const std::size_t m = means.size();
  std::vector<MeanWeights> rows(m);
  for (std::size_t i = 0; i < m; ++i) {
    const auto n = static_cast<std::size_t>(lengths[i]);
    for (std::size_t day = 0; day < n; ++day) {
      const bool first_half = static_cast<double>(day) + 0.5 < lengths[i] / 2.0;
      const bool neighbour = first_half ? i > 0 : i + 1 < m;
      const double share = neighbour ? line_share(day, lengths[i], lengths[first_half ? i - 1 : i + 1]) : 0;
      (first_half ? rows[i].before : rows[i].after) += share / static_cast<double>(n);
      rows[i].own += (1 - share) / static_cast<double>(n);
    }
  }
  std::vector<double> node = means, pivot(m);  // Thomas algorithm
  for (std::size_t i = 0; i < m; ++i) {
    pivot[i] = rows[i].own;
    if (i == 0) continue;
    const double factor = rows[i].before / pivot[i - 1];
    pivot[i] -= factor * rows[i - 1].after;
    node[i] -= factor * node[i - 1];
  }
  for (std::size_t i = m; i-- > 0;) node[i] = (node[i] - (i + 1 < m ? rows[i].after * node[i + 1] : 0)) / pivot[i];
  std::vector<double> out;
  for (std::size_t i = 0; i < m; ++i)
    for (std::size_t day = 0; day < static_cast<std::size_t>(lengths[i]); ++day) {
      const bool first_half = static_cast<double>(day) + 0.5 < lengths[i] / 2.0;
      const bool neighbour = first_half ? i > 0 : i + 1 < m;
      const std::size_t other = first_half ? i - 1 : i + 1;
      const double share = neighbour ? line_share(day, lengths[i], lengths[other]) : 0;
      out.push_back(node[i] + (neighbour ? share * (node[other] - node[i]) : 0));
    }
  return out;
}

// Temperatures of one cell in 0.01 C for every day of the archive; kMissingTemperature in missing months.
std::vector<long long> daily_temperature(const MonthlyArchive& monthly, const std::vector<double>& of, int cell) {
  std::vector<long long> out;
  int month = 0;
  const auto value = [&](int m) {
    return of[static_cast<std::size_t>(m) * static_cast<std::size_t>(monthly.cells) + static_cast<std::size_t>(cell)];
  };
  while (month < monthly.months) {
    if (std::isnan(value(month))) {
      out.insert(out.end(), static_cast<std::size_t>(days_in(add_months(monthly.first_month, month++))),
                 WeatherArchive::kMissingTemperature);
      continue;
    }
    std::vector<double> means;
    std::vector<int> lengths;
    for (; month < monthly.months && !std::isnan(value(month)); ++month) {
      means.push_back(value(month));
      lengths.push_back(days_in(add_months(monthly.first_month, month)));
    }
    const auto values = daily_values(means, lengths);
    std::size_t at = 0;
    for (std::size_t i = 0; i < means.size(); ++i) {
      std::vector<double> days(values.begin() + static_cast<long>(at), values.begin() + static_cast<long>(at) + lengths[i]);
      for (double& day : days) day *= 100;
      const auto whole = apportion(days, std::llround(100 * means[i] * lengths[i]));
      out.insert(out.end(), whole.begin(), whole.end());
      at += days.size();
    }
  }
  return out;
}

// [month] of one cell.
std::vector<double> series(const MonthlyArchive& monthly, const std::vector<double>& of, int cell) {
  std::vector<double> out;
  if (of.empty()) return out;
  for (int m = 0; m < monthly.months; ++m)
    out.push_back(of[static_cast<std::size_t>(m) * static_cast<std::size_t>(monthly.cells) + static_cast<std::size_t>(cell)]);
  return out;
}

void fill_rain(const MonthlyArchive& monthly, int cell, const RainLaw& law, int variant, unsigned seed, WeatherArchive& out) {
  const auto totals = series(monthly, monthly.rain_mm, cell), counted = series(monthly, monthly.wet_days, cell);
  const auto wet_days = expected_wet_days(law, totals, counted);
  auto before = DayBefore::unknown;
  int day = 0;
  for (std::size_t m = 0; m < totals.size(); ++m) {
    const Month month = add_months(monthly.first_month, static_cast<int>(m));
    const int n = days_in(month);
    if (std::isnan(totals[m])) {
      before = DayBefore::unknown;
      day += n;
      continue;
    }
    const long long total_cmm = std::llround(100 * totals[m]);
    if (total_cmm < 0 || total_cmm > static_cast<long long>(kMostRainCmm) * n)
      throw InputError({{Severity::error, fmt::format("rasters.rain: cell {}, {}", cell, to_text(month)), fmt::format("{}", totals[m]),
                         "a monthly total that cannot be rain", "check the unit and the fill value of the raster"}});
    const bool known = !counted.empty() && !std::isnan(counted[m]);
    const auto rain = daily_rain(law, {month, total_cmm, wet_days[m], known}, cell, variant, seed, before);
    for (long long cmm : rain) out.rain_cmm[out.at(day++, cell)] = static_cast<std::uint16_t>(cmm);
  }
}

}  // namespace

WeatherArchive disaggregate(const MonthlyArchive& monthly, const Land& land, const Season& season, int variant) {
  if (monthly.cells != static_cast<int>(land.cells.size()) || monthly.months <= 0)
    throw InputError(
        {{Severity::error, "rasters", fmt::format("{} cells, {} months", monthly.cells, monthly.months),
          "the monthly archive does not fit the weather cells", "give rain, tmin and tmax on one grid and for the same months"}});
  WeatherArchive out;
  out.cells = monthly.cells;
  out.first_day = first_day(monthly.first_month);
  out.days = day_number(last_day(add_months(monthly.first_month, monthly.months - 1))) - day_number(out.first_day) + 1;
  out.rain_disaggregated = true;
  const auto size = static_cast<std::size_t>(out.days) * static_cast<std::size_t>(out.cells);
  out.rain_cmm.assign(size, WeatherArchive::kMissingRain);
  out.tmin_cc.assign(size, WeatherArchive::kMissingTemperature);
  out.tmax_cc.assign(size, WeatherArchive::kMissingTemperature);
  const auto law = RainLaw::from(season.parameters);
  for_each_block(out.cells, 0, [&](int cell) {
    fill_rain(monthly, cell, law, variant, season.seed, out);
    const auto tmin = daily_temperature(monthly, monthly.tmin_c, cell), tmax = daily_temperature(monthly, monthly.tmax_c, cell);
    for (int day = 0; day < out.days; ++day) {
      long long low = tmin[static_cast<std::size_t>(day)], high = tmax[static_cast<std::size_t>(day)];
      const bool missing = low == WeatherArchive::kMissingTemperature || high == WeatherArchive::kMissingTemperature;
      if (!missing && low > high) {  // lines that cross on a day: both take the mean, the sum stays
        const long long sum = low + high;
        low = sum >= 0 ? sum / 2 : -((1 - sum) / 2);
        high = sum - low;
      }
      out.tmin_cc[out.at(day, cell)] = static_cast<std::int16_t>(low);
      out.tmax_cc[out.at(day, cell)] = static_cast<std::int16_t>(high);
    }
  });
  return out;
}

}  // namespace rickyard
