// Draws side by side against the scalar code that defines them, on every instruction set; and the functions underneath against std::.
#include <doctest/doctest.h>

#include <hwy/targets.h>

#include <cmath>
#include <cstring>
#include <limits>
#include <numbers>
#include <type_traits>
#include <vector>

#include "planner/base/draws.h"
#include "planner/supply/contract_draws.h"
#include "planner/supply/make_scenarios.h"
#include "planner/supply/shift_nodes.h"
#include "planner/supply/supply_reference.h"
#include "tests/supply/book_w.h"
#include "tests/supply/weather_forecast.h"

using namespace rickyard;

namespace {

// One row of `units` land units over three years and two variants, drawn from a wide range: some units far from every bound, some yields 0.
struct Row {
  ContractForecast forecast;
  ContractGrain grain;

  Row(std::uint32_t seed, std::size_t units, double rho) {
    const auto uniform = [&](std::size_t i, std::uint32_t what, double low, double high) {
      return low + (high - low) * uniform_draw(seed, DrawPurpose::tie_break, {0, static_cast<std::uint32_t>(i), what, 0});
    };
    forecast.variants = 2;
    double sum = 0;
    for (std::size_t k = 0; k < units; ++k) {
      forecast.units.push_back(static_cast<int>(k));
      forecast.share.push_back(uniform(k, 1, 0.1, 1));
      sum += forecast.share.back();
    }
    for (double& share : forecast.share) share /= sum;
    for (std::size_t i = 0; i < 6 * units; ++i)
      forecast.harvest.push_back({std::max(uniform(i, 2, -1, 8), 0.0), uniform(i, 3, 1.2, 2.1), uniform(i, 4, -2, 3.5),
                                  uniform(i, 5, 0, 0.3), uniform(i, 6, 0, 0.2)});
    grain = {&forecast, 0, 100, {}, 0.35, FarmCorrelation::of(rho)};
    for (std::size_t i = 0; i < 6; ++i) grain.sigma_n_pct.push_back(uniform(i, 7, 0.06, 0.2));
  }
};

RowDraws some_draws(std::size_t n) {
  RowDraws draws;
  for (std::size_t d = 0; d < n; ++d) {
    const auto at = static_cast<std::uint32_t>(d);
    draws.yield_factor.push_back(std::max(1 + 0.4 * normal_draw(5, DrawPurpose::tie_break, {1, at, 0, 0}), 0.0));
    draws.n_shift_pct.push_back(0.12 * normal_draw(5, DrawPurpose::tie_break, {2, at, 0, 0}));
  }
  draws.yield_factor[1] = 0;
  return draws;
}

std::vector<BandLimits> all_limits() {
  const double none = -std::numeric_limits<double>::infinity();
  return {{none, 1.50, 1.65, 1.65, 1.65, std::log(10)},
          {1.20, 1.50, 1.65, 1.70, 1.70, std::log(10)},
          {1.20, 1.50, 1.65, 1.75, 1.85, std::log(4)},
          {1.55, 1.50, 1.60, 1.65, 1.65, std::log(100)}};
}

bool same(double a, double b, double scale) { return (std::isnan(a) && std::isnan(b)) || std::abs(a - b) <= 1e-11 * scale; }

// Tonnes to 1e-11 of what is offered; a mean to 1e-11 where its band holds much of the grain, less surely where it holds little.
void check_same(const ContractScenario& fast, const ContractScenario& twin) {
  const double t = twin.offered_t;
  for (double ContractScenario::*figure : {&ContractScenario::offered_t, &ContractScenario::qualifying_t, &ContractScenario::with_claim_t,
                                           &ContractScenario::rejected_nitrogen_t, &ContractScenario::rejected_screenings_t,
                                           &ContractScenario::rejected_germination_t, &ContractScenario::rejected_other_t})
    CHECK(same(fast.*figure, twin.*figure, t));
  CHECK(same(fast.harvested_ha, twin.harvested_ha, 1));
  CHECK(same(fast.yield_t_ha, twin.yield_t_ha, 10));
  CHECK(same(fast.n_pct, twin.n_pct, 1));
  CHECK(same(fast.screenings_pct, twin.screenings_pct, 10));
  const auto scale = [&](double band_t) { return t > 0 ? 1 + 0.1 * t / std::max(band_t, 1e-12 * t) : 1; };
  if (twin.qualifying_t > 1e-9 * t) CHECK(same(fast.n_accepted_pct, twin.n_accepted_pct, scale(twin.qualifying_t)));
  for (std::size_t b = 0; b < kBands; ++b) {
    CHECK(same(fast.band_t[b], twin.band_t[b], t));
    if (twin.band_t[b] > 1e-9 * t || twin.band_t[b] == 0) {
      CHECK(same(fast.band_n_pct[b], twin.band_n_pct[b], scale(twin.band_t[b])));
      CHECK(same(fast.band_screenings_pct[b], twin.band_screenings_pct[b], 10 * scale(twin.band_t[b])));
      CHECK(same(fast.band_screenings_excess_pct[b], twin.band_screenings_excess_pct[b], 10 * scale(twin.band_t[b])));
    }
  }
}

// Calls check() on every instruction set that this machine has, by name.
template <typename Check>
void on_every_target(Check&& check) {
  for (const auto target : hwy::SupportedAndGeneratedTargets()) {
    hwy::SetSupportedTargetsForTest(target);
    check();
  }
  hwy::SetSupportedTargetsForTest(0);
}

}  // namespace

// 21 draws are reckoned one by one, 200 through nodes of the shift.
TEST_CASE_TEMPLATE("A row under many draws is what the scalar code makes of each", Count, std::integral_constant<std::size_t, 21>,
                   std::integral_constant<std::size_t, 200>) {
  constexpr std::size_t kDraws = Count::value, kPlanned = 5;
  const auto draws = some_draws(kDraws);
  for (const double rho : {0.0, 0.3, -0.6, 0.95})
    for (const auto& limits : all_limits()) {
      const Row row(3, 9, rho);
      ContractDraws work(limits, 4);
      std::vector<ContractScenario> fast(kDraws);
      for (int v = 0; v < 2; ++v)
        for (int y = 0; y < 3; ++y) {
          work.evaluate(row.grain, y, v, draws, kPlanned, fast);
          for (std::size_t d = 0; d < kDraws; ++d) {
            auto twin = evaluate_contract(row.grain, y, draws.yield_factor[d], draws.n_shift_pct[d], limits, v);
            if (d < kPlanned) set_band_screenings(row.grain, y, draws.n_shift_pct[d], limits, 4, v, twin);
            CAPTURE(rho);
            CAPTURE(d);
            check_same(fast[d], twin);
          }
        }
    }
}

TEST_CASE("The same bits on every instruction set, and with or without everything that is not qualifying tonnes") {
  constexpr std::size_t kDraws = 150;
  const auto draws = some_draws(kDraws);
  const auto limits = all_limits()[2];
  const Row row(8, 7, 0.3);
  std::vector<std::vector<ContractScenario>> by_target;
  on_every_target([&] {
    ContractDraws work(limits, 4);
    by_target.emplace_back(kDraws);
    work.evaluate(row.grain, 1, 1, draws, kDraws, by_target.back());
    std::vector<double> offered_t(kDraws), qualifying_t(kDraws);
    work.totals(row.grain, 1, 1, draws, offered_t, qualifying_t);
    for (std::size_t d = 0; d < kDraws; ++d) {
      CHECK(offered_t[d] == by_target.back()[d].offered_t);
      CHECK(qualifying_t[d] == by_target.back()[d].qualifying_t);
    }
  });
  REQUIRE(!by_target.empty());
  for (const auto& scenarios : by_target)
    CHECK(std::memcmp(scenarios.data(), by_target.front().data(), kDraws * sizeof(ContractScenario)) == 0);
}

TEST_CASE("The exponential and the normal tail, against std::") {
  std::vector<double> x, z, e, tail;
  for (int i = 0; i < 16000; ++i) {
    x.push_back(-720 + 0.0892 * i);
    z.push_back(0.00245 * i);
  }
  e.resize(x.size());
  tail.resize(z.size());
  on_every_target([&] {
    exponentials(x, e);
    normal_tails(z, tail);
    double worst_e = 0, worst_near = 0, worst_far = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
      if (x[i] < -708)
        CHECK(e[i] == 0);
      else
        worst_e = std::max(worst_e, std::abs(e[i] / std::exp(x[i]) - 1));
      const double expected = 0.5 * std::erfc(z[i] / std::numbers::sqrt2);
      if (z[i] > 37.7)
        CHECK(tail[i] == 0);
      else if (z[i] <= 5)
        worst_near = std::max(worst_near, std::abs(tail[i] / expected - 1));
      else if (z[i] < 37.4)
        worst_far = std::max(worst_far, std::abs(tail[i] / expected - 1) / (0.5 * z[i] * z[i] + 10));
    }
    CHECK(worst_e < 5e-16);
    CHECK(worst_near < 5e-15);
    CHECK(worst_far < 5e-16);
  });
}

TEST_CASE("The reference of past seasons is that of their scenarios, to the bit and on any number of threads") {
  Season season = test::book_w();
  season.parameters.set("n_screenings_correlation", 0.3);
  for (const int variants : {1, 3}) {
    season.parameters.set("supply_draws_per_year", variants == 1 ? 200 : 11);
    const auto forecast = test::weather_forecast(season, 12, variants);
    const auto whole = make_scenarios(season, {}, forecast, 2, nullptr).reference;
    for (const int threads : {1, 2, 5}) {
      const auto alone = supply_reference(season, forecast, threads, nullptr);
      CHECK(alone.regions == whole.regions);
      CHECK(alone.root == whole.root);
      CHECK(alone.model_sd == whole.model_sd);
      CHECK(alone.residual_sd == whole.residual_sd);
      CHECK(alone.mean_offered_t == whole.mean_offered_t);
      CHECK(alone.sd_offered == whole.sd_offered);
      CHECK(alone.mean_qualifying_t == whole.mean_qualifying_t);
      CHECK(alone.mean_cap_factor == whole.mean_cap_factor);
      CHECK(alone.warnings == whole.warnings);
    }
  }
}

TEST_CASE("All draws of a year are the draws one by one") {
  Season season = test::book_w();
  for (const auto& forecast : {test::weather_forecast(season, 8)}) {
    auto model = residual_model(season, forecast);
    for (const bool from_weather : {true, false}) {
      model.from_weather = from_weather;
      const auto all = residual_year(model, 77, 1999, 7);
      ResidualDraw one;
      for (int d = 0; d < 7; ++d) {
        draw_residual(model, 77, 1999, d, one);
        for (std::size_t r = 0; r < one.n_pct.size(); ++r) {
          CHECK(all.yield_factor[r][static_cast<std::size_t>(d)] == one.yield_factor[r]);
          CHECK(all.n_pct[r][static_cast<std::size_t>(d)] == one.n_pct[r]);
        }
      }
    }
  }
}

TEST_CASE("Nodes of the shift give a shifted normal law everywhere between them") {
  for (const double reach : {0.3, 1.8, 5.0, 9.0}) {
    const ShiftNodes nodes(ShiftNodes::count_for(reach), reach);
    std::vector<double> values, shifts;
    for (double at : nodes.at()) values.push_back(0.5 * std::erfc((at - 0.7) / std::numbers::sqrt2));
    for (int i = 0; i <= 100; ++i) shifts.push_back(reach * (0.02 * i - 1));
    shifts.push_back(nodes.at()[3]);  // a node itself
    CHECK(nodes.tail(values) < 1e-13);
    const auto weights = nodes.weights(shifts);
    for (std::size_t d = 0; d < shifts.size(); ++d) {
      double between = 0;
      for (std::size_t j = 0; j < values.size(); ++j) between += weights[j * shifts.size() + d] * values[j];
      CHECK(std::abs(between - 0.5 * std::erfc((shifts[d] - 0.7) / std::numbers::sqrt2)) < 2e-14);
    }
    // A step is no smooth function, and is told from one.
    for (std::size_t j = 0; j < values.size(); ++j) values[j] = j < values.size() / 3 ? 1 : 0;
    CHECK(nodes.tail(values) > 1e-3);
  }
}
