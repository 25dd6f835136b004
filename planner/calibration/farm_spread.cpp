#include "planner/calibration/farm_spread.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <set>

#include "planner/base/normal.h"

namespace rickyard {
namespace {

constexpr double kLeastSigma = 0.02, kMostSigma = 0.5;  // % N, where the equation is solved
constexpr double kOtherFailuresErrorLn = 0.05;          // for failures on other points are modelled, not recorded

// What one region and season adds to the equation: zero of the sum is the spread.
struct Part {
  int crop_year = 0;
  double freedom = 0;                          // growers less one
  std::function<double(double sigma)> excess;  // expected less observed spread, or accepted less expected share, in its weight
};

// Variance of N(mean, sigma) between two bounds.
double truncated_variance(double mean, double sigma, double low, double high) {
  const double a = (low - mean) / sigma, b = (high - mean) / sigma;
  const double mass = normal_cdf(b) - normal_cdf(a);
  if (!(mass > 1e-12)) return 0;
  const double first = (normal_pdf(a) - normal_pdf(b)) / mass;
  const double at_low = std::isinf(a) ? 0 : a * normal_pdf(a), at_high = std::isinf(b) ? 0 : b * normal_pdf(b);
  return sigma * sigma * (1 + (at_low - at_high) / mass - first * first);
}

// Tonnes-weighted variance between growers, without bias for equal variances.
double grower_variance(const NitrogenBook& book) {
  double tonnes = 0, mean = 0;
  for (std::size_t g = 0; g < book.grower_t.size(); ++g) tonnes += book.grower_t[g];
  for (std::size_t g = 0; g < book.grower_t.size(); ++g) mean += book.grower_t[g] / tonnes * book.grower_n_pct[g];
  double squares = 0, shares = 0;
  for (std::size_t g = 0; g < book.grower_t.size(); ++g) {
    const double p = book.grower_t[g] / tonnes;
    squares += p * (book.grower_n_pct[g] - mean) * (book.grower_n_pct[g] - mean);
    shares += p * p;
  }
  return squares / (1 - shares);
}

std::vector<Part> grower_parts(const PastDeliveries& past, double floor_n_pct) {
  std::vector<Part> parts;
  for (const auto& season : past.seasons)
    for (const auto& book : season.books) {
      if (static_cast<int>(book.grower_n_pct.size()) < kLeastGrowers) continue;
      const double freedom = static_cast<double>(book.grower_n_pct.size()) - 1, observed = grower_variance(book);
      if (book.basis == NitrogenBasis::all_grain)
        parts.push_back({season.crop_year, freedom, [=](double sigma) { return freedom * (sigma * sigma - observed); }});
      else if (all_grain_n(book, kLeastSigma, floor_n_pct))
        parts.push_back({season.crop_year, freedom, [=, &book](double sigma) {
                           const double mean = *all_grain_n(book, sigma, floor_n_pct);
                           return freedom * (truncated_variance(mean, sigma, floor_n_pct, *book.limit_n_pct) - observed);
                         }});
    }
  return parts;
}

std::vector<Part> share_parts(const PastDeliveries& past, const ModelledRegions& modelled, double floor_n_pct) {
  std::vector<Part> parts;
  for (const auto& season : past.seasons) {
    if (!season.qualifying_share) continue;
    const NitrogenBook& book = season.books.front();
    if (!all_grain_n(book, kLeastSigma, floor_n_pct)) continue;
    const auto region = modelled.regions[static_cast<std::size_t>(season.region)];
    const double passed =
        modelled.has_year(season.crop_year) ? modelled.at(season.region, season.crop_year).passed_other : region.passed_other;
    parts.push_back({season.crop_year, 1, [=, &book, share = *season.qualifying_share](double sigma) {
                       const double mean = *all_grain_n(book, sigma, floor_n_pct);
                       const double in_limits = normal_cdf((*book.limit_n_pct - mean) / sigma) - normal_cdf((floor_n_pct - mean) / sigma);
                       return book.tonnes * (share - passed * in_limits);
                     }});
  }
  return parts;
}

// The zero of the sum without one crop year; 0 where the sum does not rise through it within the bounds.
double solve(const std::vector<Part>& parts, std::optional<int> without_year) {
  const auto excess = [&](double sigma) {
    double sum = 0;
    for (const auto& part : parts)
      if (part.crop_year != without_year) sum += part.excess(sigma);
    return sum;
  };
  double low = kLeastSigma, high = kMostSigma;
  if (!(excess(low) < 0) || !(excess(high) > 0)) return 0;
  while (high - low > 1e-9) {
    const double middle = 0.5 * (low + high);
    (excess(middle) < 0 ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

// Delete-one-season jackknife of the logarithm; empty with fewer than two seasons that tell.
std::optional<double> jackknife_se_ln(const std::vector<Part>& parts, const std::set<int>& years) {
  std::vector<double> ln;
  for (int year : years)
    if (const double sigma = solve(parts, year); sigma > 0) ln.push_back(std::log(sigma));
  if (ln.size() < 2) return std::nullopt;
  double mean = 0, squares = 0;
  const double n = static_cast<double>(ln.size());
  for (double one : ln) mean += one / n;
  for (double one : ln) squares += (one - mean) * (one - mean);
  return std::sqrt((n - 1) / n * squares);
}

}  // namespace

FarmSpread farm_spread(const PastDeliveries& past, const ModelledRegions& modelled, double floor_n_pct) {
  FarmSpread out;
  auto parts = grower_parts(past, floor_n_pct);
  out.from_growers = !parts.empty();
  if (!out.from_growers) parts = share_parts(past, modelled, floor_n_pct);
  out.sigma_pct = solve(parts, std::nullopt);
  if (!(out.sigma_pct > 0)) return out;
  std::set<int> years;
  double freedom = 0;
  for (const auto& part : parts) {
    years.insert(part.crop_year);
    freedom += part.freedom;
  }
  out.seasons = static_cast<int>(years.size());
  out.region_seasons = static_cast<int>(parts.size());
  const auto jackknife = jackknife_se_ln(parts, years);
  if (out.from_growers)
    out.se_ln = std::max(jackknife.value_or(0), 1 / std::sqrt(2 * freedom));
  else if (jackknife)
    out.se_ln = std::hypot(*jackknife, kOtherFailuresErrorLn);
  return out;
}

}  // namespace rickyard
