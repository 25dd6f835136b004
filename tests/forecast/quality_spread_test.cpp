// Nitrogen and screenings that go together between farms: the bivariate normal law by independent routes, and the bands against farms
// drawn one by one.
#include <doctest/doctest.h>

#include <boost/math/special_functions/owens_t.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "planner/base/normal.h"
#include "planner/quality/bands.h"
#include "planner/quality/thin_grain.h"

using namespace rickyard;

namespace {

bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }

double both_below(const FarmCorrelation& farms, double h, double k) { return normal_cdf(h) * normal_cdf(k) + farms.joint_excess(h, k); }

// Owen (1956): the same probability from his T function, another integral by another library.
double both_below_by_owen(double h, double k, double rho) {
  const double q = std::sqrt(1 - rho * rho);
  const double half = h * k < 0 ? 0.5 : 0.0;
  return 0.5 * (normal_cdf(h) + normal_cdf(k)) - boost::math::owens_t(h, (k - rho * h) / (h * q)) -
         boost::math::owens_t(k, (h - rho * k) / (k * q)) - half;
}

struct Setting {
  BandLimits limits;
  BandGrain grain;
  double rho = 0;
};

// Limits, grain and correlation anywhere a season may put them.
Setting random_setting(std::mt19937& engine) {
  const auto between = [&](double low, double high) { return low + (high - low) * (static_cast<double>(engine()) / 4294967296.0); };
  Setting s;
  if (engine() % 2 == 0) s.limits.floor = between(1.0, 1.4);
  s.limits.limit = between(1.45, 1.85);
  s.limits.stop = s.limits.limit + (engine() % 2 == 0 ? 0.0 : between(0, 0.1));
  s.limits.limit_max = s.limits.stop + (engine() % 2 == 0 ? 0.0 : between(0, 0.2));
  s.limits.ln_screenings_max = std::log(between(4, 12));
  s.grain = {between(1.3, 1.9), between(0.06, 0.2), std::log(between(2, 10)), between(0.1, 0.6), between(0, 0.4), between(0, 0.3)};
  s.rho = between(-0.95, 0.95);
  return s;
}

double accepted(const BandShares& shares) { return shares.qualifying + shares.share[3]; }

// Farms drawn one by one: how many fall into each band, and why the others fail, in the order of the causes.
struct Counted {
  int farms = 0;
  std::array<int, 4> band{}, thin{};                     // thin: of the band, over 4 % screenings
  std::array<std::array<double, 4>, 3> sum{}, square{};  // [N, screenings, screenings above 4 %][band]
  int nitrogen = 0, screenings = 0, germination = 0, other = 0;
};

Counted count_farms(const Setting& s, int farms, std::mt19937& engine) {
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> uniform;
  Counted out;
  out.farms = farms;
  const double split = std::clamp(1.50, std::min(s.limits.floor, s.limits.limit), s.limits.limit);
  for (int farm = 0; farm < farms; ++farm) {
    const double x = normal(engine), y = s.rho * x + std::sqrt(1 - s.rho * s.rho) * normal(engine);
    const double n = s.grain.n_pct + s.grain.n_sigma * x, ln_screenings = s.grain.ln_screenings + s.grain.screenings_sigma * y;
    const bool thin = ln_screenings > s.limits.ln_screenings_max, dead = uniform(engine) < s.grain.germination_failure,
               bad = uniform(engine) < s.grain.other_failure;
    const bool in_spec = n > s.limits.floor && n <= s.limits.stop;
    if (!in_spec)
      ++out.nitrogen;
    else if (thin)
      ++out.screenings;
    else if (dead)
      ++out.germination;
    else if (bad)
      ++out.other;
    if (thin || dead || bad || n <= s.limits.floor || n > s.limits.limit_max) continue;
    const std::size_t b = n <= split ? 0 : n <= s.limits.limit ? 1 : n <= s.limits.stop ? 2 : 3;
    ++out.band[b];
    if (ln_screenings > std::log(4)) ++out.thin[b];
    const double screenings = std::exp(ln_screenings), figures[] = {n, screenings, std::max(screenings - 4, 0.0)};
    for (std::size_t i = 0; i < 3; ++i) {
      out.sum[i][b] += figures[i];
      out.square[i][b] += figures[i] * figures[i];
    }
  }
  return out;
}

// Four standard errors of a count, and one farm.
bool counts(int count, int farms, double share) {
  return within(static_cast<double>(count) / farms, share, 4 * std::sqrt(share * (1 - share) / farms) + 1.0 / farms);
}

}  // namespace

TEST_CASE("Both under their medians: 1/4 + asin(rho) / 2 pi (Sheppard's identity) to 1e-10") {
  for (double rho : {-0.95, -0.8, -0.5, -0.1, 0.0, 0.1, 0.3, 0.5, 0.51, 0.8, 0.81, 0.9, 0.95})
    CHECK(within(both_below(FarmCorrelation::of(rho), 0, 0), 0.25 + std::asin(rho) / (2 * std::numbers::pi), 1e-10));
}

TEST_CASE("The bivariate normal law agrees with Owen's T function to 1e-10") {
  for (double rho : {-0.95, -0.7, -0.3, 0.2, 0.3, 0.5, 0.65, 0.8, 0.9, 0.95}) {
    const auto farms = FarmCorrelation::of(rho);
    double worst = 0;
    for (double h = -5.05; h < 5.1; h += 0.35)
      for (double k = -5.15; k < 5.2; k += 0.35) worst = std::max(worst, std::abs(both_below(farms, h, k) - both_below_by_owen(h, k, rho)));
    CAPTURE(rho);
    CHECK(worst < 1e-10);
  }
}

TEST_CASE("What lies beyond 8 sigma is left out and is nothing; a correlation beyond 0.95 is refused") {
  const auto farms = FarmCorrelation::of(0.95);
  CHECK(farms.joint_excess(8, 1) == 0);
  CHECK(farms.joint_excess(-std::numeric_limits<double>::infinity(), 1) == 0);
  CHECK(std::abs(farms.joint_excess(7.999, 7.999)) < 1e-14);
  CHECK_THROWS(FarmCorrelation::of(0.96));
  CHECK_THROWS(FarmCorrelation::of(std::nan("")));
}

TEST_CASE("Without correlation the bands are products of the two shares, to 1e-15") {
  std::mt19937 engine(7);
  for (int i = 0; i < 200; ++i) {
    const auto s = random_setting(engine);
    const auto shares = band_shares(s.limits, s.grain, FarmCorrelation::of(0));
    const double fine = 1 - screenings_failure(s.grain.ln_screenings, s.grain.screenings_sigma, s.limits.ln_screenings_max);
    const double m = normal_cdf((s.limits.stop - s.grain.n_pct) / s.grain.n_sigma) -
                     normal_cdf((std::min(s.limits.floor, s.limits.limit) - s.grain.n_pct) / s.grain.n_sigma);
    CHECK(within(shares.qualifying, m * fine * (1 - s.grain.germination_failure) * (1 - s.grain.other_failure), 1e-15));
    CHECK(within(shares.rejected_screenings, m * (1 - fine), 1e-15));
    const double mean = truncated_normal_mean(s.grain.n_pct, s.grain.n_sigma, s.limits.floor, s.limits.stop);
    if (m > 1e-3) CHECK(within(shares.n_qualifying_pct, mean, 1e-12));
    // A correlation too small to matter gives the same: the joint law joins the product smoothly.
    const auto near = band_shares(s.limits, s.grain, FarmCorrelation::of(1e-13));
    CHECK(within(near.qualifying, shares.qualifying, 1e-12));
    if (shares.qualifying > 1e-3) CHECK(within(near.n_qualifying_pct, shares.n_qualifying_pct, 1e-11));
  }
}

TEST_CASE("Bands with correlation agree with Simpson's rule over nitrogen to 1e-10, means of N too") {
  std::mt19937 engine(11);
  for (int i = 0; i < 60; ++i) {
    const auto s = random_setting(engine);
    const auto shares = band_shares(s.limits, s.grain, FarmCorrelation::of(s.rho));
    const double k = (s.limits.ln_screenings_max - s.grain.ln_screenings) / s.grain.screenings_sigma, q = std::sqrt(1 - s.rho * s.rho);
    const double low = std::max((s.limits.floor - s.grain.n_pct) / s.grain.n_sigma, -10.0),
                 high = (s.limits.stop - s.grain.n_pct) / s.grain.n_sigma;
    constexpr int kSteps = 20000;
    double mass = 0, n = 0;
    for (int j = 0; j <= kSteps; ++j) {
      const double z = low + (high - low) * j / kSteps, weight = (j == 0 || j == kSteps ? 1
                                                                  : j % 2 == 1          ? 4
                                                                                        : 2) *
                                                                 (high - low) / kSteps / 3;
      const double density = weight * normal_pdf(z) * normal_cdf((k - s.rho * z) / q);
      mass += density;
      n += density * (s.grain.n_pct + s.grain.n_sigma * z);
    }
    CAPTURE(s.rho);
    CHECK(within(shares.qualifying, mass * (1 - s.grain.germination_failure) * (1 - s.grain.other_failure), 1e-10));
    if (mass > 1e-3) CHECK(within(shares.n_qualifying_pct, n / mass, 1e-9));
  }
}

TEST_CASE("Bands agree with farms drawn one by one within four standard errors over 200 settings") {
  std::mt19937 engine(20262);
  for (int i = 0; i < 200; ++i) {
    const auto s = random_setting(engine);
    const auto shares = band_shares(s.limits, s.grain, FarmCorrelation::of(s.rho));
    const auto thin = thin_grain(s.limits, s.grain, FarmCorrelation::of(s.rho), 4);
    const double sound = (1 - s.grain.germination_failure) * (1 - s.grain.other_failure);
    const auto counted = count_farms(s, 40000, engine);
    CAPTURE(i);
    CAPTURE(s.rho);
    for (std::size_t b = 0; b < 4; ++b) {
      CAPTURE(b);
      CHECK(counts(counted.band[b], counted.farms, shares.share[b]));
      if (counted.band[b] < 100) continue;
      const double expected[] = {shares.n_pct[b], thin.screenings_pct[b] * sound / shares.share[b],
                                 thin.excess_pct[b] * sound / shares.share[b]};
      for (std::size_t figure = 0; figure < 3; ++figure) {
        CAPTURE(figure);
        if (figure == 2 && counted.thin[b] < 100) continue;  // too few for a standard error
        const double mean = counted.sum[figure][b] / counted.band[b], variance = counted.square[figure][b] / counted.band[b] - mean * mean;
        CHECK(within(mean, expected[figure], 4 * std::sqrt(std::max(variance, 0.0) / counted.band[b]) + 1e-9));
      }
    }
    CHECK(counts(counted.nitrogen, counted.farms, shares.rejected_nitrogen));
    CHECK(counts(counted.screenings, counted.farms, shares.rejected_screenings));
    CHECK(counts(counted.germination, counted.farms, shares.rejected_germination));
    CHECK(counts(counted.other, counted.farms, shares.rejected_other));
  }
}

TEST_CASE("Every share lies in 0..1, they add up to 1, and means lie in their bands") {
  std::mt19937 engine(3);
  for (int i = 0; i < 2000; ++i) {
    auto s = random_setting(engine);
    if (i % 4 == 0) s.grain.ln_screenings = std::log(0.01 + 0.05 * i);  // from clean to hopeless
    if (i % 5 == 0) s.grain.n_pct = 0.5 + 0.002 * i;
    const auto x = band_shares(s.limits, s.grain, FarmCorrelation::of(s.rho));
    for (double share : {x.share[0], x.share[1], x.share[2], x.share[3], x.qualifying, x.with_claim, x.rejected_nitrogen,
                         x.rejected_screenings, x.rejected_germination, x.rejected_other})
      CHECK((share >= 0 && share <= 1));
    CHECK(within(x.qualifying + x.rejected_nitrogen + x.rejected_screenings + x.rejected_germination + x.rejected_other, 1, 1e-14));
    CHECK(within(x.share[0] + x.share[1] + x.share[2], x.qualifying, 1e-14));
    const auto bounds = band_bounds(s.limits);
    for (std::size_t b = 0; b < 4; ++b)
      if (bounds[b + 1] > bounds[b]) CHECK((x.n_pct[b] >= bounds[b] && x.n_pct[b] <= bounds[b + 1]));
  }
}

TEST_CASE("A wider limit never lowers what is accepted, by more than the 1e-10 of the quadrature") {
  std::mt19937 engine(5);
  for (int i = 0; i < 500; ++i) {
    auto s = random_setting(engine);
    const auto farms = FarmCorrelation::of(s.rho);
    double before = accepted(band_shares(s.limits, s.grain, farms)), qualifying = band_shares(s.limits, s.grain, farms).qualifying;
    for (int step = 0; step < 8; ++step) {
      s.limits.limit += 0.02;
      s.limits.stop += 0.02;
      s.limits.limit_max += 0.02;
      const auto wider = band_shares(s.limits, s.grain, farms);
      CHECK(accepted(wider) >= before - 1e-10);
      CHECK(wider.qualifying >= qualifying - 1e-10);
      before = accepted(wider);
      qualifying = wider.qualifying;
    }
    s.limits.ln_screenings_max += 0.1;
    CHECK(accepted(band_shares(s.limits, s.grain, farms)) >= before - 1e-10);
  }
}

TEST_CASE("Thin grain that holds more nitrogen fails with it: more passes both points, and what passes has less nitrogen") {
  const BandGrain grain{1.55, 0.13, std::log(7), 0.35, 0, 0};
  const auto apart = band_shares({}, grain), together = band_shares({}, grain, FarmCorrelation::of(0.3));
  CHECK(together.qualifying > apart.qualifying);
  CHECK(together.n_qualifying_pct < apart.n_qualifying_pct);
  CHECK(together.rejected_nitrogen == apart.rejected_nitrogen);  // the first cause does not ask about screenings
  CHECK(together.rejected_screenings < apart.rejected_screenings);
}

TEST_CASE("Screenings of accepted grain: log-normal moments where nothing is cut off") {
  // No limit bites: mean = median x exp(s^2 / 2); excess over 0 is the mean itself, over the maximum nothing. Tolerance: rounding.
  BandLimits open;
  open.split = open.limit = open.stop = open.limit_max = 99;
  open.ln_screenings_max = std::log(1e6);
  const BandGrain grain{1.5, 0.13, std::log(4), 0.35, 0, 0};
  const double mean = 4 * std::exp(0.5 * 0.35 * 0.35);
  for (double rho : {0.0, 0.3, -0.8}) {
    CHECK(within(thin_grain(open, grain, FarmCorrelation::of(rho), 0).screenings_pct[0], mean, 1e-12));
    CHECK(within(thin_grain(open, grain, FarmCorrelation::of(rho), 0).excess_pct[0], mean, 1e-12));
    CHECK(thin_grain(open, grain, FarmCorrelation::of(rho), 1e6).excess_pct[0] == 0);
  }
  // Thin grain holds more nitrogen, so the band above the limit is the thinner one.
  const auto claimed = thin_grain({1.2, 1.5, 1.65, 1.75, 1.75, std::log(10)}, grain, FarmCorrelation::of(0.3), 4);
  const auto shares = band_shares({1.2, 1.5, 1.65, 1.75, 1.75, std::log(10)}, grain, FarmCorrelation::of(0.3));
  CHECK(claimed.screenings_pct[2] / shares.share[2] > claimed.screenings_pct[0] / shares.share[0] + 0.3);
}
