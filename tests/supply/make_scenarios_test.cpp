// Supply scenarios against worked book W, by the identities they must keep, and against the residual law they state.
#include <doctest/doctest.h>

#include <cmath>
#include <numeric>

#include "planner/quality/forecast_by_formulas.h"
#include "planner/supply/make_scenarios.h"
#include "tests/supply/book_w.h"

using namespace rickyard;

namespace {

std::vector<double> totals(const SupplyScenarios& supply) {
  std::vector<double> out;
  for (const auto& s : supply.scenarios) {
    double t = 0;
    for (const auto& c : s.contracts) t += c.qualifying_t;
    out.push_back(t);
  }
  return out;
}

std::vector<double> weights(const SupplyScenarios& supply) {
  std::vector<double> out;
  for (const auto& s : supply.scenarios) out.push_back(s.weight);
  return out;
}

SupplyScenarios scenarios(const Season& season, const SeasonPatch& patch = {}, int threads = 2) {
  return make_scenarios(season, patch, forecast_by_formulas(season, patch), threads, nullptr);
}

// Two weather years and two units a row, made by hand: what a daily forecast hands over.
HarvestForecast weather_forecast(const Season& season, int years) {
  HarvestForecast f;
  f.from_weather = true;
  for (int y = 0; y < years; ++y) {
    f.years.push_back(1990 + y);
    f.weights.push_back(1.0 / years);
  }
  for (std::size_t c = 0; c < season.contracts.size(); ++c) {
    ContractForecast row;
    row.contract = static_cast<int>(c);
    row.units = {0, 1};
    row.share = {0.25, 0.75};
    for (int y = 0; y < years; ++y)
      for (int k = 0; k < 2; ++k) {
        const double wave = std::sin(2.1 * y + 0.3 * static_cast<double>(c));
        row.harvest.push_back(
            {*season.contracts[c].yield_t_ha * (1 + 0.06 * wave + 0.1 * k), 1.48 - 0.04 * wave + 0.05 * k, std::log(3.0), 0.01, 0.03});
      }
    row.dates.assign(static_cast<std::size_t>(years), {210, 300, 335, 350});
    f.contracts.push_back(row);
  }
  f.backup_yield_factor.resize(season.backups.size());
  return f;
}

}  // namespace

TEST_CASE("Book W: totals with shared weather and with wrongly independent regions") {
  // Trade notes, section 5: P5 4,575, P10 5,264, P20 6,019, P50 7,304, P90 8,805, mean 7,150; independent P5 5,623, P20 6,430. Sampling
  // error 1.5 %.
  Season season = test::book_w();
  season.parameters.set("formula_years", 200);
  season.parameters.set("supply_draws_per_year", 200);
  season.parameters.set("independence_draws", 40000);
  season.parameters.set("bootstrap_replicates", 50);
  const auto supply = scenarios(season);
  const auto t = totals(supply), w = weights(supply);
  const auto near = [](double expected) { return doctest::Approx(expected).epsilon(0.015); };
  CHECK(weighted_quantile(t, w, 0.05) == near(4575));
  CHECK(weighted_quantile(t, w, 0.10) == near(5264));
  CHECK(weighted_quantile(t, w, 0.20) == near(6019));
  CHECK(weighted_quantile(t, w, 0.50) == near(7304));
  CHECK(weighted_quantile(t, w, 0.90) == near(8805));
  CHECK(weighted_mean(t, w) == near(7150));
  // The notes give no P10 of the independent total: it must lie between their P5 and P20.
  CHECK(supply.independent_total_qualifying.p10 > 5623);
  CHECK(supply.independent_total_qualifying.p10 < 6430);
  CHECK(supply.independent_total_qualifying.mean == near(7150));
}

TEST_CASE("Book W: the mean year, the dry pair and the limits, without any spread") {
  // Trade notes, section 5, tonnes; parts rounded to 1 t.
  struct Row {
    double yield_factor, n_shift, limit, total, a;
  };
  const Row rows[] = {
      {1, 0, 1.65, 7486, 2501}, {0.91, 0.15, 1.65, 3902, 1412}, {0.91, 0.15, 1.75, 6061, 2068}, {0.91, 0.15, 1.85, 7302, 2402}};
  Season season = test::book_w();
  for (const char* name : {"yield_cv", "n_year_sigma_pct"}) season.parameters.set(name, 0);
  season.parameters.set("formula_years", 1);
  season.parameters.set("supply_draws_per_year", 2);
  for (const auto& row : rows) {
    SeasonPatch patch;
    patch.yield_factor = row.yield_factor;
    patch.n_shift_pct = row.n_shift;
    patch.limit_n_pct = row.limit;
    const auto supply = scenarios(season, patch);
    CHECK(totals(supply)[0] == doctest::Approx(row.total).epsilon(1.0 / row.total));
    CHECK(supply.scenarios[0].contracts[0].qualifying_t == doctest::Approx(row.a).epsilon(1.0 / row.a));
  }
}

TEST_CASE("Offered is qualifying and rejected; bands add up; claims lie above the limit") {
  Season season = test::book_w();
  season.spec.stop_n_pct = 1.70;
  season.parameters.set("supply_draws_per_year", 20);
  season.parameters.set("bootstrap_replicates", 20);
  const auto supply = make_scenarios(season, {}, weather_forecast(season, 30), 2, nullptr);
  double claims = 0;
  for (const auto& s : supply.scenarios)
    for (const auto& c : s.contracts) {
      const double rejected = c.rejected_nitrogen_t + c.rejected_screenings_t + c.rejected_germination_t + c.rejected_other_t;
      CHECK(c.offered_t == doctest::Approx(c.qualifying_t + rejected).epsilon(1e-12));
      CHECK(c.qualifying_t == doctest::Approx(c.band_t[0] + c.band_t[1] + c.band_t[2]).epsilon(1e-12));
      CHECK(c.with_claim_t == c.band_t[2]);
      CHECK(c.band_t[3] == 0);
      CHECK((c.band_n_pct[0] <= 1.50 && c.band_n_pct[1] >= 1.50 && c.band_n_pct[1] <= 1.65 && c.band_n_pct[2] >= 1.65 &&
             c.band_n_pct[2] <= 1.70));
      CHECK(c.offered_t == doctest::Approx(c.harvested_ha * c.yield_t_ha).epsilon(1e-12));
      claims += c.with_claim_t;
    }
  CHECK(claims > 0);
}

TEST_CASE("The same bits on any number of threads") {
  const Season season = test::book_w();
  const auto forecast = weather_forecast(season, 30);
  const auto one = make_scenarios(season, {}, forecast, 1, nullptr);
  for (int threads : {2, 4}) {
    const auto many = make_scenarios(season, {}, forecast, threads, nullptr);
    bool same =
        one.independent_total_qualifying.p10 == many.independent_total_qualifying.p10 && one.sampling_p10.lo == many.sampling_p10.lo;
    for (std::size_t s = 0; s < one.scenarios.size(); ++s) {
      same = same && one.scenarios[s].demand_factor == many.scenarios[s].demand_factor;
      for (std::size_t c = 0; c < 4; ++c)
        same = same && one.scenarios[s].contracts[c].qualifying_t == many.scenarios[s].contracts[c].qualifying_t;
    }
    CHECK(same);
  }
}

TEST_CASE("Residual draws have the covariance that target less model leaves") {
  const Season season = test::book_w();
  const auto forecast = weather_forecast(season, 30);
  const auto model = residual_model(season, forecast);
  REQUIRE(model.root.size() == 64);
  // The root is symmetric and its square has the stated diagonal.
  for (std::size_t i = 0; i < 8; ++i) {
    double square = 0;
    for (std::size_t j = 0; j < 8; ++j) {
      CHECK(model.root[i * 8 + j] == doctest::Approx(model.root[j * 8 + i]).epsilon(1e-12));
      square += model.root[i * 8 + j] * model.root[i * 8 + j];
    }
    CHECK(std::sqrt(square) == doctest::Approx(model.residual_sd[i]).epsilon(1e-9));
    CHECK(model.residual_sd[i] >= 0.03 - 1e-12);
  }
  // 20,000 draws: standard deviations within 2 % (their own sampling error is 0.5 %).
  const int n = 20000;
  std::vector<double> y, tn;
  ResidualDraw draw;
  for (int d = 0; d < n; ++d) {
    draw_residual(model, 1, 1990, d, draw);
    y.push_back(draw.yield_factor[2] - 1);
    tn.push_back(draw.n_pct[2]);
  }
  const auto sd = [](const std::vector<double>& v) {
    return std::sqrt(std::inner_product(v.begin(), v.end(), v.begin(), 0.0) / static_cast<double>(v.size()));
  };
  CHECK(sd(y) == doctest::Approx(model.residual_sd[2]).epsilon(0.02));
  CHECK(sd(tn) == doctest::Approx(model.residual_sd[6]).epsilon(0.02));
  // Antithetic: the odd draw is minus the even one before it.
  CHECK(y[0] == doctest::Approx(-y[1]).epsilon(1e-12));
  CHECK(tn[7] == doctest::Approx(-tn[6]).epsilon(1e-12));
}

TEST_CASE("Total spread of a region lies within 1 point of the larger of target and model") {
  // Design, section 8. Here the model has a CV of about 4 % and the target 10 %.
  Season season = test::book_w();
  const auto supply = make_scenarios(season, {}, weather_forecast(season, 30), 2, nullptr);
  std::vector<double> offered, w = weights(supply);
  for (const auto& s : supply.scenarios) offered.push_back(s.contracts[0].offered_t);
  const double mean = weighted_mean(offered, w);
  double square = 0;
  for (std::size_t s = 0; s < offered.size(); ++s) square += w[s] * std::pow(offered[s] / mean - 1, 2);
  CHECK(std::sqrt(square) == doctest::Approx(0.10).epsilon(0.1));
}

TEST_CASE("A row of few years keeps the draws of the whole archive, and a case keeps those of its base") {
  Season season = test::book_w();
  season.parameters.set("supply_draws_per_year", 10);
  const auto forecast = weather_forecast(season, 30);
  const auto base = make_scenarios(season, {}, forecast, 2, nullptr);
  auto few = forecast;
  few.years = {forecast.years[7]};
  few.weights = {1};
  for (auto& row : few.contracts) {
    row.harvest = {row.harvest[14], row.harvest[15]};
    row.dates.resize(1);
  }
  const auto dry = make_scenarios(season, {}, few, 2, nullptr, &base.reference);
  for (std::size_t d = 0; d < 10; ++d) {
    CHECK(dry.scenarios[d].contracts[1].qualifying_t == base.scenarios[70 + d].contracts[1].qualifying_t);
    CHECK(dry.scenarios[d].home_shortage == base.scenarios[70 + d].home_shortage);
  }
}

TEST_CASE("Backups: a merchant's cap falls and its price rises in the worst home years") {
  Season season = test::book_w();
  BackupRow merchant;
  merchant.source = "merchant";
  merchant.origin = "home";
  merchant.kind = BackupKind::merchant;
  merchant.cap_t_month = 100;
  merchant.price_per_t = 200;
  BackupRow abroad = merchant;
  abroad.source = "abroad";
  abroad.kind = BackupKind::vessel;
  season.backups = {merchant, abroad};
  const auto supply = make_scenarios(season, {}, weather_forecast(season, 30), 2, nullptr);
  const auto t = totals(supply), w = weights(supply);
  const double p10 = weighted_quantile(t, w, 0.1);
  double cap = 0, cap_abroad = 0, price = 0, n = 0, all_cap = 0;
  for (std::size_t s = 0; s < t.size(); ++s) {
    const auto& scenario = supply.scenarios[s];
    all_cap += scenario.backups[0].cap_factor * w[s];
    CHECK(scenario.backups[0].price_per_t >= 200);
    CHECK(scenario.backups[0].price_per_t <= 260);  // price_cap 60
    if (t[s] > p10) continue;
    cap += scenario.backups[0].cap_factor;
    cap_abroad += scenario.backups[1].cap_factor;
    price += scenario.backups[0].price_per_t;
    n += 1;
  }
  CHECK(all_cap == doctest::Approx(1).epsilon(0.01));
  CHECK(cap / n < 0.97);
  CHECK(cap_abroad / n == doctest::Approx(1).epsilon(0.02));
  CHECK(price / n > 220);
}

TEST_CASE("A lost region delivers nothing, a lost backup neither, and nobody else changes") {
  Season season = test::book_w();
  season.parameters.set("supply_draws_per_year", 4);
  BackupRow merchant;
  merchant.source = "merchant";
  merchant.cap_t_month = 100;
  merchant.price_per_t = 200;
  season.backups = {merchant};
  const auto forecast = weather_forecast(season, 30);
  SeasonPatch patch;
  patch.regions_lost = {"b"};
  patch.backups_lost = {"merchant"};
  const auto base = make_scenarios(season, {}, forecast, 2, nullptr), lost = make_scenarios(season, patch, forecast, 2, nullptr);
  for (std::size_t s = 0; s < base.scenarios.size(); ++s) {
    CHECK(lost.scenarios[s].contracts[1].offered_t == 0);
    CHECK(lost.scenarios[s].contracts[0].qualifying_t == base.scenarios[s].contracts[0].qualifying_t);
    CHECK(lost.scenarios[s].backups[0].cap_factor == 0);
    CHECK(lost.scenarios[s].backups[0].price_per_t == base.scenarios[s].backups[0].price_per_t);
  }
}

TEST_CASE("Sampling intervals hold the quantiles they belong to, and programme draws are the first of the supply draws") {
  Season season = test::book_w();
  season.parameters.set("programme_draws_per_year", 4);
  const auto supply = make_scenarios(season, {}, weather_forecast(season, 30), 2, nullptr);
  const auto range = weighted_range(totals(supply), weights(supply));
  CHECK((supply.sampling_p10.lo < range.p10 && range.p10 < supply.sampling_p10.hi));
  CHECK((supply.sampling_p50.lo < range.p50 && range.p50 < supply.sampling_p50.hi));
  CHECK((supply.sampling_p90.lo < range.p90 && range.p90 < supply.sampling_p90.hi));
  int in = 0;
  for (const auto& s : supply.scenarios) {
    CHECK(s.in_programme == (s.draw < 4));
    in += s.in_programme ? 1 : 0;
    CHECK((s.demand_factor >= 0.95 && s.demand_factor <= 1.05));
  }
  CHECK(in == 120);
}
