// Calibration as a whole: synthetic deliveries with known faults, what is left alone, and what downstream rooms then read.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "planner/base/normal.h"
#include "planner/calibration/calibrate.h"
#include "planner/calibration/modelled_regions.h"
#include "planner/quality/contract_terms.h"
#include "planner/quality/forecast_by_formulas.h"
#include "tests/calibration/deliveries_maker.h"

namespace rickyard {
namespace {

using testing::delivery;
using testing::delivery_season;
using testing::forecast_of;
using testing::grain;
using testing::Normals;
using testing::steady_forecast;

const CalibrationEntry& entry(const Calibration& calibration, const std::string& name) {
  for (const auto& one : calibration.entries)
    if (one.name == name) return one;
  FAIL("no entry " << name);
  std::abort();
}

bool has_line(const Calibration& calibration, const std::string& words) {
  for (const auto& line : calibration.lines)
    if (line.find(words) != std::string::npos) return true;
  return false;
}

struct Truth {
  std::vector<double> yield_t_ha, n_pct;  // [region]
  double sigma = 0.15;
};

struct World {
  Season season;
  HarvestForecast forecast;
  Truth truth;
};

// Eight seasons of intake books: weather that the model knows, a shared and an own residue that it does not, tonnes as weighed at the
// moisture of the year, nitrogen of accepted grain under limits that change.
World make_world(unsigned seed, int regions = 8, int seasons = 8) {
  Normals normal(seed);
  World world{delivery_season(regions), {}, {}};
  std::vector<double> yield_bias, n_bias;
  for (int r = 0; r < regions; ++r) {
    yield_bias.push_back(-0.03 + 0.04 * normal());
    n_bias.push_back(0.01 + 0.03 * normal());
    world.truth.yield_t_ha.push_back(6 * std::exp(yield_bias.back()));
    world.truth.n_pct.push_back(1.50 + n_bias.back());
  }
  std::vector<int> years;
  std::vector<std::vector<UnitHarvest>> harvests;
  for (int year = 1997; year < 2027; ++year) {
    years.push_back(year);
    const double weather = 0.06 * normal(), shared = 0.05 * normal(), n_shared = 0.04 * normal();
    harvests.emplace_back();
    for (int r = 0; r < regions; ++r) {
      const double own_weather = 0.03 * normal(), residue = shared + 0.05 * normal(), n_residue = n_shared + 0.04 * normal();
      harvests.back().push_back(grain(6 * std::exp(weather + own_weather), 1.50 - 0.5 * weather));
      if (year < 2027 - seasons) continue;
      const double limit = year == 2022 ? 1.75 : 1.65, moisture = 15 + normal();
      const double n = 1.50 - 0.5 * weather + n_bias[static_cast<std::size_t>(r)] + n_residue;
      const double yield = 6 * std::exp(weather + own_weather + yield_bias[static_cast<std::size_t>(r)] + residue);
      HistoryRow row = delivery("r" + std::to_string(r), year, 100, 100 * yield * 85.5 / (100 - moisture));
      row.moisture_pct = moisture;
      row.n_basis = NitrogenBasis::accepted;
      row.limit_n_pct = limit;
      row.n_pct = truncated_normal_mean(n, world.truth.sigma, -std::numeric_limits<double>::infinity(), limit);
      row.qualifying_t = *row.delivered_t * normal_cdf((limit - n) / world.truth.sigma);
      world.season.history.push_back(row);
    }
  }
  world.forecast = forecast_of(world.season, years, harvests);
  return world;
}

}  // namespace

TEST_CASE("yield, nitrogen of all grain and spread between farms lie within two standard errors in 90 to 99 % of 200 worlds") {
  double yields = 0, nitrogen = 0, sigmas = 0, n = 0;
  for (unsigned seed = 1; seed <= 200; ++seed) {
    const World world = make_world(seed);
    const auto found = calibrate(world.season, world.forecast);
    REQUIRE(found.used);
    for (std::size_t r = 0; r < world.truth.yield_t_ha.size(); ++r) {
      const auto& yield = entry(found, "yield, r" + std::to_string(r) + "-area");
      const auto& n_pct = entry(found, "N, r" + std::to_string(r) + "-area");
      yields += std::abs(yield.calibrated - world.truth.yield_t_ha[r]) <= 2 * yield.standard_error;
      nitrogen += std::abs(n_pct.calibrated - world.truth.n_pct[r]) <= 2 * n_pct.standard_error;
      n += 1;
    }
    const auto& sigma = entry(found, "n_sigma_farm_pct");
    sigmas += std::abs(sigma.calibrated - 0.15) <= 2 * sigma.standard_error;
  }
  MESSAGE("covered: yield " << yields / n << ", N " << nitrogen / n << ", spread between farms " << sigmas / 200);
  CHECK(yields / n >= 0.90);
  CHECK(yields / n <= 0.99);
  CHECK(nitrogen / n >= 0.90);
  CHECK(nitrogen / n <= 0.99);
  CHECK(sigmas / 200 >= 0.90);
}

TEST_CASE("the season that comes out holds the calibrated figures, and nothing else in it moved") {
  const World world = make_world(3);
  const auto found = calibrate(world.season, world.forecast);
  const auto settings = QualitySettings::from(found.season.parameters);
  for (std::size_t c = 0; c < found.season.contracts.size(); ++c) {
    const auto& row = found.season.contracts[c];
    const auto terms = contract_terms(found.season, settings, row);
    CHECK(terms.yield_t_ha == entry(found, "yield, " + row.contract).calibrated);
    CHECK(terms.n_pct == entry(found, "N, " + row.contract).calibrated);
    CHECK(row.planted_ha == world.season.contracts[c].planted_ha);
    CHECK(row.typical_screenings_pct == world.season.contracts[c].typical_screenings_pct);
  }
  CHECK(found.season.parameters["n_sigma_farm_pct"] == entry(found, "n_sigma_farm_pct").calibrated);
  CHECK_FALSE(found.season.parameters.set_by_user("n_sigma_farm_pct"));
  CHECK(found.season.parameters["residual_scale_yield"] == entry(found, "residual_scale_yield").calibrated);
  CHECK(found.season.parameters["residual_scale_n"] == entry(found, "residual_scale_n").calibrated);
  CHECK(found.season.parameters["yield_cv"] == world.season.parameters["yield_cv"]);
  CHECK(found.season.history.size() == world.season.history.size());
  for (const auto& one : found.entries) {
    CHECK(one.moved_by >= 0);
    CHECK(one.moved_by <= 1);
    CHECK(one.standard_error >= 0);
    CHECK_FALSE(one.unit.empty());
  }
}

TEST_CASE("without a history nothing changes, and a line says so") {
  Season season = delivery_season(2);
  season.contracts[0].yield_basis = YieldBasis::in_field;
  season.contracts[1].n_basis = NitrogenBasis::accepted;
  season.contracts[1].n_basis_limit_pct = 1.65;
  const auto check_untouched = [&](const Calibration& found) {
    CHECK_FALSE(found.used);
    CHECK(found.entries.empty());
    for (std::size_t c = 0; c < 2; ++c) {
      CHECK(found.season.contracts[c].yield_t_ha == season.contracts[c].yield_t_ha);
      CHECK(found.season.contracts[c].yield_basis == season.contracts[c].yield_basis);
      CHECK(found.season.contracts[c].n_basis == season.contracts[c].n_basis);
      CHECK(found.season.contracts[c].typical_n_pct == season.contracts[c].typical_n_pct);
    }
    for (const auto& name : season.parameters.names()) CHECK(found.season.parameters[name] == season.parameters[name]);
  };
  const auto forecast = steady_forecast(season, 2010, 17);
  auto found = calibrate(season, forecast);
  check_untouched(found);
  CHECK(has_line(found, "no history of deliveries"));
  season.history = {delivery("r0", 2025, 100, 300), delivery("r1", 2025, 100, 300)};
  season.parameters.set("history_weight", 0);
  found = calibrate(season, forecast);
  check_untouched(found);
  CHECK(has_line(found, "history_weight is 0"));
  season.parameters.set("history_weight", 1);
  season.history = {delivery("elsewhere", 2025, 100, 300)};
  found = calibrate(season, forecast);
  check_untouched(found);
  CHECK(has_line(found, "nothing was calibrated"));
}

TEST_CASE("history_weight makes that share of every move") {
  World world = make_world(4);
  const auto whole = calibrate(world.season, world.forecast);
  world.season.parameters.set("history_weight", 0.5);
  const auto half = calibrate(world.season, world.forecast);
  for (const std::string name : {"yield, r0-area", "yield, r5-area"}) {
    CHECK(std::log(entry(half, name).calibrated / 6) == doctest::Approx(0.5 * std::log(entry(whole, name).calibrated / 6)));
    CHECK(entry(half, name).moved_by == doctest::Approx(0.5 * entry(whole, name).moved_by));
  }
  CHECK(std::log(entry(half, "n_sigma_farm_pct").calibrated / 0.13) ==
        doctest::Approx(0.5 * std::log(entry(whole, "n_sigma_farm_pct").calibrated / 0.13)));
  CHECK(entry(half, "residual_scale_yield").calibrated - 1 == doctest::Approx(0.5 * (entry(whole, "residual_scale_yield").calibrated - 1)));
}

TEST_CASE("a year left out enters nowhere: not its deliveries, not its weather") {
  World world = make_world(5);
  const auto before = calibrate(world.season, world.forecast, 2023);
  const auto with_all = calibrate(world.season, world.forecast);
  for (auto& row : world.season.history)
    if (row.crop_year == 2023) {
      *row.delivered_t *= 0.5;
      *row.qualifying_t *= 0.4;
      row.n_pct = 1.60;
    }
  for (auto& row : world.forecast.contracts)
    for (std::size_t y = 0; y < world.forecast.years.size(); ++y)
      if (world.forecast.years[y] == 2023) row.harvest[y] = grain(2, 1.9);
  const auto after = calibrate(world.season, world.forecast, 2023);
  REQUIRE(after.entries.size() == before.entries.size());
  for (std::size_t i = 0; i < before.entries.size(); ++i) {
    CAPTURE(before.entries[i].name);
    CHECK(after.entries[i].calibrated == before.entries[i].calibrated);  // to the last bit
    CHECK(after.entries[i].standard_error == before.entries[i].standard_error);
    CHECK(after.entries[i].seasons == before.entries[i].seasons);
  }
  CHECK(entry(before, "yield, r0-area").seasons == 7);
  CHECK(entry(with_all, "yield, r0-area").seasons == 8);
  CHECK(calibrate(world.season, world.forecast).entries[1].calibrated != before.entries[1].calibrated);
}

TEST_CASE("fewer than five seasons: said, and moved by little") {
  const World world = make_world(6, 8, 3);
  const auto found = calibrate(world.season, world.forecast);
  for (int r = 0; r < 8; ++r) {
    const auto& yield = entry(found, "yield, r" + std::to_string(r) + "-area");
    CHECK(yield.note.find("too few: 3 seasons") == 0);
    CHECK(yield.moved_by <= 3.0 / 13 + 0.02);
    CHECK(std::abs(yield.calibrated - 6) < 0.5);
  }
  CHECK(entry(found, "n_sigma_farm_pct").moved_by <= 3.0 / 13);
  CHECK(entry(found, "n_sigma_farm_pct").note.find("too few") == 0);
}

TEST_CASE("a contract whose nitrogen is that of accepted grain becomes one of all grain, at the calibrated spread") {
  World world = make_world(7);
  auto& row = world.season.contracts[0];
  row.typical_n_pct = 1.48;
  row.n_basis = NitrogenBasis::accepted;
  row.n_basis_limit_pct = 1.65;
  const double user = all_grain_mean(1.48, 0.13, 1.65);
  for (auto& unit : world.forecast.contracts[0].harvest) unit.n_pct += user - 1.50;  // the model is anchored to what the row says
  const auto found = calibrate(world.season, world.forecast);
  CHECK(entry(found, "N, r0-area").user == doctest::Approx(1.516).epsilon(0.0004));
  CHECK(found.season.contracts[0].n_basis == NitrogenBasis::all_grain);
  CHECK_FALSE(found.season.contracts[0].n_basis_limit_pct);
  CHECK(contract_terms(found.season, QualitySettings::from(found.season.parameters), found.season.contracts[0]).n_pct ==
        entry(found, "N, r0-area").calibrated);
}

TEST_CASE("a season before the archive is measured against its mean, with the spread of the weather as noise") {
  World world = make_world(8, 1, 0);
  const auto modelled = modelled_regions(world.season, world.forecast, std::nullopt);
  const double mean = modelled.regions[0].mean.yield_t_ha;
  for (int year = 2017; year < 2025; ++year)
    world.season.history.push_back(delivery("r0", year, 100, 100 * modelled.at(0, year).yield_t_ha * 0.9));
  const auto inside = calibrate(world.season, world.forecast);
  CHECK(entry(inside, "yield, r0-area").note.find("5.40") != std::string::npos);  // exactly a tenth less in every year
  for (auto& row : world.season.history) {
    row.crop_year -= 40;
    row.delivered_t = 100 * mean * 0.9;
  }
  const auto outside = calibrate(world.season, world.forecast);
  CHECK(entry(outside, "yield, r0-area").note.find("5.40") != std::string::npos);
  CHECK(entry(outside, "yield, r0-area").standard_error > entry(inside, "yield, r0-area").standard_error);
  CHECK(entry(outside, "yield, r0-area").moved_by < entry(inside, "yield, r0-area").moved_by);
}

TEST_CASE("quiet deliveries shrink the residual, noisy ones swell it, by no more than their seasons can tell") {
  for (const double noise : {0.01, 0.25}) {
    CAPTURE(noise);
    Season season = delivery_season(6);
    Normals normal(9);
    for (int year = 2015; year < 2027; ++year)
      for (int r = 0; r < 6; ++r) season.history.push_back(delivery("r" + std::to_string(r), year, 100, 600 * std::exp(noise * normal())));
    const auto found = calibrate(season, steady_forecast(season, 1997, 30));
    const double scale = entry(found, "residual_scale_yield").calibrated;
    if (noise < 0.1)
      CHECK(scale < 0.6);
    else
      CHECK(scale > 1.5);
    CHECK(found.season.parameters["residual_scale_yield"] == scale);
    CHECK(entry(found, "residual_scale_yield").moved_by < 1);
  }
}

TEST_CASE("a model that swings more than the deliveries do gets no further swings drawn on top") {
  // Model and deliveries have nothing to do with each other; the model varies by 15 %, the deliveries by 8 %.
  Season season = delivery_season(6);
  Normals normal(5);
  std::vector<int> years;
  std::vector<std::vector<UnitHarvest>> harvests;
  for (int year = 1997; year < 2027; ++year) {
    years.push_back(year);
    const double weather = 0.15 * normal(), delivered = 0.08 * normal();
    harvests.emplace_back(6, grain(6 * std::exp(weather), 1.50));
    for (int r = 0; r < 6 && year >= 2015; ++r)
      season.history.push_back(delivery("r" + std::to_string(r), year, 100, 600 * std::exp(delivered + 0.01 * normal())));
  }
  const auto found = calibrate(season, forecast_of(season, years, harvests));
  const auto& scale = entry(found, "residual_scale_yield");
  CHECK(scale.calibrated < 1.3);  // the spread around the model alone would ask for about 5
  CHECK(scale.note.find("vary by no more than the model") != std::string::npos);
}

TEST_CASE("without rasters the closed formulas are calibrated too") {
  Season season = delivery_season(3);
  season.model = ForecastModel::formulas;
  for (int year = 2017; year < 2027; ++year)
    for (int r = 0; r < 3; ++r) season.history.push_back(delivery("r" + std::to_string(r), year, 100, 540));
  const auto found = calibrate(season, forecast_by_formulas(season, {}));
  CHECK(entry(found, "yield, r1-area").calibrated > 5.4);
  CHECK(entry(found, "yield, r1-area").calibrated < 5.55);
  const auto after = forecast_by_formulas(found.season, {});
  CHECK(after.contracts[1].at(0, 0).yield_t_ha == doctest::Approx(entry(found, "yield, r1-area").calibrated));
}

TEST_CASE("a season of nothing, a field without hectares and a history of one row do no harm") {
  Season season = delivery_season(2);
  season.history = {delivery("r0", 2025, 100, 0), delivery("r1", 2025, 0, 100)};
  const auto forecast = steady_forecast(season, 2010, 17);
  CHECK_FALSE(calibrate(season, forecast).used);
  season.history = {delivery("r0", 2025, 100, 500)};
  const auto one = calibrate(season, forecast);
  CHECK(one.used);
  CHECK(entry(one, "yield, r0-area").calibrated < 6);
  CHECK(entry(one, "yield, r0-area").moved_by <= 1.0 / 11);
  CHECK(entry(one, "yield, r1-area").note.find("no deliveries of its own") == 0);
  for (const auto& found : one.entries) CHECK(std::isfinite(found.standard_error));
}

}  // namespace rickyard
