#include "planner/quality/select_years.h"

#include <algorithm>
#include <stdexcept>

namespace rickyard {
namespace {

// all: [variant][year][k], `years` years and `stride` values k.
template <typename T>
std::vector<T> kept(const std::vector<T>& all, std::size_t years, const std::vector<std::size_t>& keep, std::size_t stride = 1) {
  std::vector<T> out;
  for (std::size_t variant = 0; variant * years * stride < all.size(); ++variant)
    for (std::size_t y : keep)
      for (std::size_t k = 0; k < stride; ++k) out.push_back(all[(variant * years + y) * stride + k]);
  return out;
}

}  // namespace

HarvestForecast select_years(const HarvestForecast& forecast, const std::vector<int>& years) {
  std::vector<std::size_t> keep;
  for (std::size_t y = 0; y < forecast.years.size(); ++y)
    if (std::find(years.begin(), years.end(), forecast.years[y]) != years.end()) keep.push_back(y);
  if (keep.empty()) throw std::invalid_argument("none of the years asked for is in the archive");
  const std::size_t n = forecast.years.size();
  HarvestForecast out = forecast;
  out.years = kept(forecast.years, n, keep);
  out.weights = kept(forecast.weights, n, keep);
  double sum = 0;
  for (double w : out.weights) sum += w;
  for (double& w : out.weights) w = sum > 0 ? w / sum : 1.0 / static_cast<double>(keep.size());
  out.rain_apr_jul_mm = kept(forecast.rain_apr_jul_mm, n, keep);
  out.rain_mm = kept(forecast.rain_mm, n, keep);
  for (auto& factors : out.backup_yield_factor) factors = kept(factors, n, keep);
  for (std::size_t c = 0; c < out.contracts.size(); ++c) {
    const auto& from = forecast.contracts[c];
    out.contracts[c].harvest = kept(from.harvest, n, keep, from.units.size());
    out.contracts[c].losses = kept(from.losses, n, keep);
    out.contracts[c].dates = kept(from.dates, n, keep);
    out.contracts[c].harvest_weather = kept(from.harvest_weather, n, keep);
  }
  return out;
}

}  // namespace rickyard
