// Bands in closed form against brute-force quadrature, and worked book W (trade figures, rounded to whole tonnes in print).
#include <doctest/doctest.h>

#include <cmath>

#include "planner/base/normal.h"
#include "planner/quality/bands.h"
#include "planner/quality/forecast_by_formulas.h"
#include "planner/quality/grain.h"
#include "tests/forecast/season_maker.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }

struct Slice {
  double mass = 0, n_mass = 0;
};

// Simpson's rule over one band, clipped to 12 sigma: the slow and obvious twin.
Slice slice(double low, double high, double mean, double sigma) {
  low = std::max(low, mean - 12 * sigma);
  high = std::min(high, mean + 12 * sigma);
  if (!(high > low)) return {};
  constexpr int kSteps = 20000;
  const double h = (high - low) / kSteps;
  Slice sum;
  for (int i = 0; i <= kSteps; ++i) {
    const double x = low + h * i, weight = (i == 0 || i == kSteps ? 1 : i % 2 == 1 ? 4 : 2) * h / 3;
    const double density = normal_pdf((x - mean) / sigma) / sigma;
    sum.mass += weight * density;
    sum.n_mass += weight * density * x;
  }
  return sum;
}

void compare(const BandLimits& limits, const BandGrain& grain) {
  CAPTURE(grain.n_pct);
  CAPTURE(limits.limit);
  const auto shares = band_shares(limits, grain);
  const double s_fail = slice(limits.ln_screenings_max, 1e9, grain.ln_screenings, grain.screenings_sigma).mass;
  const double pass = (1 - s_fail) * (1 - grain.germination_failure) * (1 - grain.other_failure);
  const double bounds[] = {limits.floor, std::clamp(limits.split, std::min(limits.floor, limits.limit), limits.limit), limits.limit,
                           limits.stop, limits.limit_max};
  double in_spec = 0, n_in_spec = 0;
  for (std::size_t b = 0; b < 4; ++b) {
    const auto twin = slice(bounds[b], bounds[b + 1], grain.n_pct, grain.n_sigma);
    CHECK(within(shares.share[b], twin.mass * pass, 1e-9));
    if (twin.mass > 1e-3) CHECK(within(shares.n_pct[b], twin.n_mass / twin.mass, 1e-9));
    if (b < 3) {
      in_spec += twin.mass;
      n_in_spec += twin.n_mass;
    }
  }
  CHECK(within(shares.qualifying, in_spec * pass, 1e-9));
  if (in_spec > 1e-3) CHECK(within(shares.n_qualifying_pct, n_in_spec / in_spec, 1e-9));
  CHECK(within(shares.rejected_nitrogen, 1 - in_spec, 1e-9));
  CHECK(within(shares.rejected_screenings, in_spec * s_fail, 1e-9));
  CHECK(within(shares.rejected_germination, in_spec * (1 - s_fail) * grain.germination_failure, 1e-9));
  CHECK(within(shares.rejected_other, in_spec * (1 - s_fail) * (1 - grain.germination_failure) * grain.other_failure, 1e-9));
  CHECK(within(
      shares.qualifying + shares.rejected_nitrogen + shares.rejected_screenings + shares.rejected_germination + shares.rejected_other, 1,
      1e-14));
}

}  // namespace

TEST_CASE("Bands agree with quadrature to 1e-9") {
  for (double n : {1.1, 1.45, 1.55, 1.65, 1.80, 2.2})
    for (double sigma : {0.06, 0.13, 0.2})
      for (double screenings : {2.0, 6.0, 12.0}) {
        const BandGrain grain{n, sigma, std::log(screenings), 0.35, 0.07, 0.03};
        BandLimits limits;
        compare(limits, grain);
        limits = {1.2, 1.5, 1.65, 1.70, 1.85, std::log(10)};
        compare(limits, grain);
        limits = {1.2, 1.5, 1.45, 1.48, 1.48, std::log(6)};  // a limit below 1.50 empties the second band
        compare(limits, grain);
      }
}

TEST_CASE("Bands far in the tails keep their digits") {
  const BandLimits limits;
  const auto far = band_shares(limits, {3.0, 0.1, std::log(4), 0.35, 0, 0});
  CHECK(far.qualifying > 0);
  CHECK(far.qualifying < 1e-40);
  CHECK(far.n_qualifying_pct <= 1.65);
  CHECK(far.n_qualifying_pct > 1.6);
  const auto none = band_shares(limits, {9.0, 0.1, std::log(4), 0.35, 0, 0});
  CHECK(none.qualifying == 0);
  CHECK(std::isnan(none.n_qualifying_pct));
  CHECK(none.rejected_nitrogen == 1);
}

TEST_CASE("An empty band holds nothing and shows its middle") {
  const auto shares = band_shares({1.2, 1.5, 1.65, 1.65, 1.65, std::log(10)}, {1.5, 0.13, std::log(4), 0.35, 0, 0.05});
  CHECK(shares.share[2] == 0);
  CHECK(shares.n_pct[2] == doctest::Approx(1.65));
  CHECK(shares.with_claim == 0);
}

TEST_CASE("Share under the limit by trade formula 6") {
  // sigma 0.13, limit 1.65; two decimals as printed
  const double n[] = {1.45, 1.50, 1.55, 1.60, 1.65, 1.70, 1.75}, share[] = {0.94, 0.88, 0.78, 0.65, 0.50, 0.35, 0.22};
  for (std::size_t i = 0; i < 7; ++i) CHECK(within(band_shares({}, {n[i], 0.13, -50, 0.35, 0, 0}).qualifying, share[i], 0.005));
}

TEST_CASE("A patch that moves the limit keeps the claim width") {
  auto season = make_season();
  season.spec.limit_n_pct = 1.65;
  season.spec.stop_n_pct = 1.70;
  SeasonPatch patch;
  patch.limit_n_pct = 1.75;
  CHECK(band_limits(season, patch).stop == doctest::Approx(1.80));
  CHECK(band_limits(season, patch).limit_max == doctest::Approx(1.80));
  patch.stop_n_pct = 1.76;
  CHECK(band_limits(season, patch).stop == 1.76);
  season.spec.limit_policy = LimitPolicy::after_harvest;
  season.spec.limit_max = 1.85;
  CHECK(band_limits(season, {}).limit_max == 1.85);
}

namespace {

// Qualifying tonnes of a row in the first year.
double qualifying_t(const Season& season, const SeasonPatch& patch, std::size_t row) {
  const auto forecast = forecast_by_formulas(season, patch);
  const auto& grain = forecast.contracts[row].at(0, 0);
  const BandGrain farms{grain.n_pct,
                        season.parameters["n_sigma_farm_pct"],
                        grain.ln_screenings,
                        season.parameters["screenings_sigma_ln"],
                        grain.germination_failure,
                        grain.other_failure};
  const auto& contract = season.contracts[row];
  return *contract.planted_ha * *contract.harvested_share * grain.yield_t_ha * band_shares(band_limits(season, patch), farms).qualifying;
}

void check_book(const SeasonPatch& patch, const std::array<double, 4>& by_region, double total) {
  const auto season = book_w();
  double sum = 0;
  for (std::size_t row = 0; row < 4; ++row) {
    CAPTURE(row);
    const double t = qualifying_t(season, patch, row);
    CHECK(within(t, by_region[row], 0.75));
    sum += t;
  }
  CHECK(within(sum, total, 1.5));
}

}  // namespace

TEST_CASE("Worked book W: mean year, dry pair at three limits, wet harvest") {
  check_book({}, {2501, 2034, 1500, 1453}, 7486);
  SeasonPatch dry;
  dry.yield_factor = 0.91;
  dry.n_shift_pct = 0.15;
  check_book(dry, {1412, 1057, 679, 755}, 3902);
  dry.limit_n_pct = 1.75;
  check_book(dry, {2068, 1646, 1170, 1176}, 6061);
  dry.limit_n_pct = 1.85;
  check_book(dry, {2402, 1982, 1502, 1416}, 7302);
  SeasonPatch wet;
  wet.n_shift_pct = -0.05;
  wet.other_failure_pct = 25;
  check_book(wet, {2084, 1720, 1303, 1228}, 6335);
}

TEST_CASE("M1: the dry year of book W with dilution k of 0, 0.5 and 0.75: the same loss of yield, three losses of tonnes") {
  // Trade notes, section 5: yield x 0.91 by drought gives N + 0.073 and 5,602 t at k 0.5, 6,280 at 0.75, 3,941 at 0 (formula 5).
  const auto season = book_w();
  const auto total = [&](double k) {
    double sum = 0;
    for (std::size_t row = 0; row < 4; ++row) {
      const double n0 = *season.contracts[row].typical_n_pct;
      SeasonPatch dry;
      dry.yield_factor = 0.91;
      dry.n_shift_pct = diluted_n_pct(n0, 0.09, k) - n0;
      sum += qualifying_t(season, dry, row);
    }
    return sum;
  };
  CHECK(within(diluted_n_pct(1.48, 0.09, 0.5) - 1.48, 0.073, 0.0005));
  CHECK(within(total(0.5), 5602, 1.5));
  CHECK(within(total(0.75), 6280, 1.5));
  CHECK(within(total(0), 3941, 1.5));
  CHECK(total(0.85) > total(0.75));
}

TEST_CASE("Formulas: 30 equal years, no weather, sowing later costs yield and raises N (user story L2)") {
  const auto season = book_w();
  const auto base = forecast_by_formulas(season, {});
  CHECK(base.years.size() == 30);
  CHECK(base.from_weather == false);
  CHECK(base.weights.front() == doctest::Approx(1.0 / 30));
  CHECK(base.contracts[0].units == std::vector<int>{-1});
  CHECK(base.contracts[0].harvest.size() == 30);
  SeasonPatch later;
  later.sowing_shift_days = 21;
  const auto patched = forecast_by_formulas(season, later);
  CHECK(within(patched.contracts[0].at(0, 0).yield_t_ha / base.contracts[0].at(0, 0).yield_t_ha, 1 - 0.084, 1e-12));
  CHECK(within(patched.contracts[0].at(0, 0).n_pct - base.contracts[0].at(0, 0).n_pct, 0.09, 1e-12));
  CHECK(patched.contracts[0].dates[0].sown == base.contracts[0].dates[0].sown + 21);
}

TEST_CASE("Formulas: N rate, variety, in-field yield, accepted basis (user stories L3, L5)") {
  auto season = book_w();
  season.varieties = {{{}, "Long Furrow", std::nullopt, std::nullopt, 1.05, -0.02, std::nullopt, std::nullopt}};
  auto& row = season.contracts[0];
  row.n_rate_kg_ha = season.parameters["n_rate_reference_kg_ha"] + 30;
  row.variety = "Long Furrow";
  row.yield_basis = YieldBasis::in_field;
  row.headland_share = 0.12;
  row.n_basis = NitrogenBasis::accepted;
  row.n_basis_limit_pct = 1.65;
  const auto grain = forecast_by_formulas(season, {}).contracts[0].at(0, 0);
  CHECK(within(grain.yield_t_ha, 5.7504, 1e-9));     // the row's yield is its variety's
  CHECK(within(grain.n_pct, 1.516 + 0.10, 0.0005));  // 1.48 accepted at 1.65 with sigma 0.13 is 1.516 of all grain
  row.n_basis_limit_pct = 1.40;
  CHECK_THROWS(forecast_by_formulas(season, {}));
  // Only a row without a typical N of its own takes the variety's offset.
  auto& plain = season.contracts[1];
  plain.variety = "Long Furrow";
  row.n_basis_limit_pct = 1.65;
  CHECK(within(forecast_by_formulas(season, {}).contracts[1].at(0, 0).n_pct, 1.50, 1e-12));
  plain.typical_n_pct.reset();
  CHECK(within(forecast_by_formulas(season, {}).contracts[1].at(0, 0).n_pct, 1.48 - 0.02, 1e-12));
  plain.typical_n_pct = 1.48;
  plain.typical_n_is_default = true;
  CHECK(within(forecast_by_formulas(season, {}).contracts[1].at(0, 0).n_pct, 1.48 - 0.02, 1e-12));
}
