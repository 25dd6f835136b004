#include "planner/weather/daily_rain.h"

#include <algorithm>
#include <boost/math/special_functions/gamma.hpp>
#include <cmath>
#include <numeric>

#include "planner/base/draws.h"
#include "planner/base/normal.h"

namespace rickyard {
namespace {

// No detour through long double: the digits left are more than the archive keeps.
using PlainDouble = boost::math::policies::policy<boost::math::policies::promote_double<false>>;

constexpr double kLeastShare = 0.02, kMostShare = 0.95;  // of wet days in a month

double wet_share(const MonthOfRain& month) {
  return std::clamp(month.wet_days / static_cast<double>(days_in(month.month)), kLeastShare, kMostShare);
}

// The draws of one month, cell and variant: cells share the weather of a day as far as law.common_share says.
struct MonthDraws {
  Month month;
  int cell, variant;
  unsigned seed;
  double common_share;
  double operator()(std::size_t day, unsigned which) const {
    DrawCounter counter{static_cast<std::uint32_t>(month.year), static_cast<std::uint32_t>(month.month), static_cast<std::uint32_t>(cell),
                        64 * static_cast<std::uint32_t>(variant) + 2 * static_cast<std::uint32_t>(day) + which};
    if (common_share == 0) return uniform_draw(seed, DrawPurpose::disaggregation, counter);
    const double own = normal_draw(seed, DrawPurpose::disaggregation, counter);
    counter.place = kCommonPlace;
    const double common = normal_draw(seed, DrawPurpose::disaggregation, counter);
    constexpr double kBelowOne = 1 - 0x1p-53;
    return std::min(normal_cdf(std::sqrt(common_share) * common + std::sqrt(1 - common_share) * own), kBelowOne);
  }
  std::vector<double> occurrences() const {
    std::vector<double> u;
    for (std::size_t day = 0; day < static_cast<std::size_t>(days_in(month)); ++day) u.push_back((*this)(day, 0));
    return u;
  }
};

// Chance of a wet day after each state of the day before.
double chance_of_wet(const RainLaw& law, double share, DayBefore before) {
  return before == DayBefore::unknown ? share
         : before == DayBefore::wet   ? share + law.persistence * (1 - share)
                                      : share * (1 - law.persistence);
}

std::vector<bool> run_chain(const RainLaw& law, double share, const std::vector<double>& draws, DayBefore before) {
  std::vector<bool> wet;
  for (double u : draws) {
    wet.push_back(u < chance_of_wet(law, share, before));
    before = wet.back() ? DayBefore::wet : DayBefore::dry;
  }
  return wet;
}

// The same chain given that exactly `count` days are wet. left[day][k]: chance that the days from `day` on hold k wet ones, after a dry
// and after a wet day.
std::vector<bool> run_chain_given(const RainLaw& law, double share, const std::vector<double>& draws, DayBefore before, std::size_t count) {
  const std::size_t days = draws.size();
  struct Left {
    double after_dry = 0, after_wet = 0;
  };
  const double wet_after_dry = chance_of_wet(law, share, DayBefore::dry), wet_after_wet = chance_of_wet(law, share, DayBefore::wet);
  std::vector<std::vector<Left>> left(days + 1, std::vector<Left>(count + 1));
  left[days][0] = {1, 1};
  for (std::size_t day = days; day-- > 0;)
    for (std::size_t k = 0; k <= count; ++k) {
      const double wet = k > 0 ? left[day + 1][k - 1].after_wet : 0, dry = left[day + 1][k].after_dry;
      left[day][k] = {wet_after_dry * wet + (1 - wet_after_dry) * dry, wet_after_wet * wet + (1 - wet_after_wet) * dry};
    }
  std::vector<bool> out;
  for (std::size_t day = 0, k = count; day < days; ++day) {
    const double plain = chance_of_wet(law, share, before);
    const double wet = k > 0 ? plain * left[day + 1][k - 1].after_wet : 0, dry = (1 - plain) * left[day + 1][k].after_dry;
    out.push_back(draws[day] < wet / (wet + dry));
    if (out.back()) --k;
    before = out.back() ? DayBefore::wet : DayBefore::dry;
  }
  return out;
}

}  // namespace

RainLaw RainLaw::from(const ParameterSet& p) {
  return {p["wet_day_mean_mm"],
          p["wet_day_rain_exponent"],
          p["wet_day_persistence"],
          p["wet_day_gamma_shape"],
          std::llround(100 * p["wet_day_least_mm"]),
          p["wet_day_common_share"]};
}

double geng_shape(double mean_mm) {
  const double x = std::max(mean_mm, 3.0);
  return x / (1.83 * x - 2.16);
}

std::vector<double> expected_wet_days(const RainLaw& law, std::span<const double> rain_mm, std::span<const double> counted) {
  double rain = 0, power = 0;
  for (double mm : rain_mm)
    if (mm > 0) {
      rain += mm;
      power += std::pow(mm, law.exponent);
    }
  const double scale = power > 0 ? rain / law.mean_mm / power : 0;
  std::vector<double> days;
  for (std::size_t m = 0; m < rain_mm.size(); ++m) {
    const bool known = !counted.empty() && !std::isnan(counted[m]);
    days.push_back(known ? counted[m] : rain_mm[m] > 0 ? scale * std::pow(rain_mm[m], law.exponent) : 0);
  }
  return days;
}

std::vector<long long> apportion(const std::vector<double>& values, long long sum) {
  std::vector<long long> whole(values.size());
  long long left = sum;
  for (std::size_t i = 0; i < values.size(); ++i) {
    whole[i] = static_cast<long long>(std::floor(values[i]));
    left -= whole[i];
  }
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  const auto remainder = [&](std::size_t i) { return values[i] - std::floor(values[i]); };
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return remainder(a) > remainder(b); });
  // Rounding of the sum of doubles can leave a few units either way: go round the days in the same order.
  for (std::size_t i = 0; left != 0; i = (i + 1) % order.size()) {
    const std::size_t day = left > 0 ? order[i] : order[order.size() - 1 - i];
    if (left < 0 && whole[day] <= 0 && sum > 0) continue;
    whole[day] += left > 0 ? 1 : -1;
    left += left > 0 ? -1 : 1;
  }
  return whole;
}

std::vector<long long> daily_rain(const RainLaw& law, const MonthOfRain& month, int cell, int variant, unsigned seed, DayBefore& before) {
  const auto n = static_cast<std::size_t>(days_in(month.month));
  std::vector<long long> rain(n, 0);
  if (month.total_cmm == 0) {
    before = DayBefore::dry;
    return rain;
  }
  const MonthDraws draw{month.month, cell, variant, seed, law.common_share};
  const auto occurrences = draw.occurrences();
  const double share = wet_share(month);
  std::vector<bool> is_wet = run_chain(law, share, occurrences, before);
  const long long drawn = std::count(is_wet.begin(), is_wet.end(), true);
  const auto most = std::clamp<long long>(month.total_cmm / law.least_cmm, 1, static_cast<long long>(n));
  const long long count = std::clamp<long long>(month.counted ? std::llround(month.wet_days) : drawn, 1, most);
  if (count != drawn || month.counted) is_wet = run_chain_given(law, share, occurrences, before, static_cast<std::size_t>(count));
  before = is_wet[n - 1] ? DayBefore::wet : DayBefore::dry;

  std::vector<std::size_t> wet;
  for (std::size_t day = 0; day < n; ++day)
    if (is_wet[day]) wet.push_back(day);
  const double mean_mm = static_cast<double>(month.total_cmm) / 100 / (static_cast<double>(n) * share);
  const double shape = law.shape > 0 ? std::max(law.shape, 0.2) : geng_shape(mean_mm);
  const long long least = wet.size() > 1 ? law.least_cmm : 0, spare = month.total_cmm - least * static_cast<long long>(wet.size());
  std::vector<double> amount;
  double sum = 0;
  for (std::size_t day : wet) sum += amount.emplace_back(boost::math::gamma_p_inv(shape, draw(day, 1), PlainDouble()));
  for (double& a : amount) a *= static_cast<double>(spare) / sum;
  if (static_cast<double>(least) + *std::max_element(amount.begin(), amount.end()) >= kMostRainCmm)
    return apportion(std::vector<double>(n, static_cast<double>(month.total_cmm) / static_cast<double>(n)), month.total_cmm);
  const auto whole = apportion(amount, spare);
  for (std::size_t i = 0; i < wet.size(); ++i) rain[wet[i]] = least + whole[i];
  return rain;
}

}  // namespace rickyard
