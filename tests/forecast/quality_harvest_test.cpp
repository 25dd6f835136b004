// What a wet or a late harvest spoils, on archives made by hand so that every anchor can be worked out on paper, and the trade's stories
// about nitrogen, sowing and harvest weather.
#include <doctest/doctest.h>

#include <cmath>

#include "planner/base/normal.h"
#include "planner/quality/anchors.h"
#include "planner/quality/bands.h"
#include "planner/quality/crop_runs.h"
#include "planner/quality/forecast_by_formulas.h"
#include "planner/quality/grain_model.h"
#include "tests/forecast/season_maker.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }

// One region of one land unit, drilled in one part; 7.5 points of failure a rainy week, enough combine days, hardly any thin grain.
struct Archive {
  Season season = make_season();
  Land land;
  CropRecords records;
  std::vector<CropRun> requests;

  explicit Archive(const std::vector<double>& wet_days) {
    season.contracts = {contract("A", 100, 6, 1.50)};
    season.contracts[0].typical_screenings_pct = 0.05;
    season.parameters.set("drilling_parts", 1);
    land.cells = {{}};
    land.soils = {{}};
    land.units = {{}};
    Region region;
    region.id = "A";
    region.units = {{0, 100}};
    land.regions = {region};
    requests = run_requests(season, {}, {1});
    records.runs = crop_runs(season, land, requests, {});
    records.records.emplace_back();
    for (double wet : wet_days) {
      records.harvest_years.push_back(2001 + static_cast<int>(records.harvest_years.size()));
      CropRecord record;
      record.sown = 211;
      record.relative_yield = record.duration = 1;
      record.wet_days_harvest = wet;
      record.combine_days = 20;
      records.records[0].push_back(record);
    }
  }
  Anchors anchors() const { return compute_anchors(season, land, records, requests); }
  UnitHarvest grain(const Anchors& anchors, int year, double more_wet_days = 0) const {
    auto record = records.at(0, year, 0);
    record.wet_days_harvest += more_wet_days;
    return anchored_grain(QualitySettings::from(season.parameters), anchors.terms[0], anchors.rows[0], record, {});
  }
};

// Share under a limit without any other point (trade formula 6).
double chance(double n_pct, double limit) {
  BandLimits limits;
  limits.limit = limits.stop = limits.limit_max = limit;
  return band_shares(limits, {n_pct, 0.13, -50, 0.35, 0, 0}).qualifying;
}

}  // namespace

TEST_CASE("Held points by hand: weeks of 0, 0, 1, 2 and 4 fail 10.5 % on average, 5 % is typical, so 10 points are known") {
  // (15 - 10) + (30 - 10) = 25 points over five equal years = 5 %. Exact but for rounding; screenings of 0.05 % fail 1e-52.
  const Archive archive({0, 0, 7, 14, 28});
  const auto anchors = archive.anchors();
  CHECK(within(anchors.rows[0].shift.germination_held_points, 10, 1e-9));
  CHECK(within(anchors.rows[0].passed_other, 0.95, 1e-12));
  CHECK(within(anchors.rows[0].shift.other_failure_shift, -0.05, 1e-12));
  const double expected[] = {0, 0, 0, 0.05, 0.20};
  for (int y = 0; y < 5; ++y) CHECK(within(archive.grain(anchors, y).germination_failure, expected[y], 1e-11));
  // An extra rainy week has its full 7.5 points in the bad years, and the part that growers are not used to in the good ones.
  CHECK(within(archive.grain(anchors, 4, 7).germination_failure, 0.275, 1e-11));
  CHECK(within(archive.grain(anchors, 3, 7).germination_failure, 0.125, 1e-11));
  CHECK(within(archive.grain(anchors, 0, 7).germination_failure, 0, 1e-11));
  CHECK(within(archive.grain(anchors, 4, 70).germination_failure, 0.60, 1e-12));  // germination_failure_max_pct
}

TEST_CASE("Where the typical share holds the weather's mean, nothing is held and the rest is other failure") {
  Archive archive({0, 0, 7, 14, 28});
  archive.season.contracts[0].typical_other_failure_pct = 20;
  const auto anchors = archive.anchors();
  CHECK(anchors.rows[0].shift.germination_held_points == 0);
  CHECK(within(anchors.rows[0].passed_other, 0.895, 1e-12));
  CHECK(within(archive.grain(anchors, 4).other_failure, 1 - 0.80 / 0.895, 1e-12));
  CHECK(within(archive.grain(anchors, 4).germination_failure, 0.30, 1e-12));
}

TEST_CASE("Where screenings alone fail more than is typical, the harvest still fails half of the typical share, and the plan says so") {
  Archive archive({0, 7, 14});
  archive.season.contracts[0].typical_screenings_pct = 10;  // half of the farms over the maximum of 10 %
  const auto anchors = archive.anchors();
  // 5 % is typical; of the half that passes screenings 2.5 % is to fail in the mean of three years: 15 - 7.5 points in the last one.
  CHECK(within(anchors.rows[0].shift.germination_held_points, 7.5, 1e-9));
  CHECK(within(anchors.rows[0].passed_other, 0.4875, 1e-9));
  CHECK(archive.grain(anchors, 2).other_failure == 0);
  CHECK(within(archive.grain(anchors, 2).germination_failure, 0.075, 1e-9));
  CHECK(within(archive.grain(anchors, 2, 7).germination_failure, 0.15, 1e-9));
  const auto words = anchor_warnings(archive.season, anchors);
  REQUIRE(words.size() == 1);
  CHECK(words[0].find("51.2 % fails") != std::string::npos);
  CHECK(anchor_warnings(archive.season, Archive({0, 0, 7}).anchors()).empty());
}

TEST_CASE("The archive's tonnes pass every point but N at the typical share, also with unequal yields") {
  Archive archive({0, 3, 30, 12, 5, 21});
  const double yields[] = {1.2, 1, 0.5, 0.9, 1.1, 0.7};
  for (std::size_t y = 0; y < 6; ++y) archive.records.records[0][y].relative_yield = yields[y];
  for (double typical : {2.0, 5.0, 10.0, 30.0}) {
    archive.season.contracts[0].typical_other_failure_pct = typical;
    const auto anchors = archive.anchors();
    double tonnes = 0, passed = 0;
    for (int y = 0; y < 6; ++y) {
      const auto grain = archive.grain(anchors, y);
      tonnes += grain.yield_t_ha;
      passed += grain.yield_t_ha * (1 - grain.germination_failure) * (1 - grain.other_failure);
    }
    CHECK(within(passed / tonnes, 1 - typical / 100, 1e-12));
  }
}

TEST_CASE("The two means that a year's nitrogen is measured against are listed with the anchor") {
  Archive archive({0, 0});
  archive.records.records[0][0].water_factor = 0.9;
  archive.records.records[0][1].water_factor = 0.7;
  archive.records.records[0][1].drainage_winter_mm = 80;
  const auto shift = archive.anchors().rows[0].shift;
  CHECK(within(shift.mean_water_loss_share, 0.2, 1e-15));
  CHECK(within(shift.mean_drainage_winter_mm, 40, 1e-12));
}

TEST_CASE("L6: 12 suitable days against 20 needed leave 0.4 late and add 0.4 x late_harvest_failure_pct") {
  auto season = make_season();
  season.parameters.set("combine_days_needed", 20);
  const auto settings = QualitySettings::from(season.parameters);
  CropRecord enough, few;
  enough.combine_days = 20;
  few.combine_days = 12;
  CHECK(late_share(12, 20) == doctest::Approx(0.4).epsilon(1e-15));
  CHECK(within(harvest_failure(settings, few) - harvest_failure(settings, enough),
               0.4 * season.parameters["late_harvest_failure_pct"] / 100, 1e-15));
}

TEST_CASE("L3: 30 kg N/ha more raise N by 0.100 % and lower the chance from 0.88 to 0.65") {
  // Trade notes, story L3 and formula 6: N 1.50, sigma 0.13, limit 1.65; two decimals as printed. 15 and 50 kg per tenth are the range.
  auto season = book_w();
  season.contracts[1].n_rate_kg_ha = season.parameters["n_rate_reference_kg_ha"];
  const double before = forecast_by_formulas(season, {}).contracts[1].at(0, 0).n_pct;
  season.contracts[1].n_rate_kg_ha = *season.contracts[1].n_rate_kg_ha + 30;
  const double after = forecast_by_formulas(season, {}).contracts[1].at(0, 0).n_pct;
  CHECK(within(after - before, 0.100, 1e-12));
  CHECK(within(chance(before, 1.65), 0.88, 0.005));
  CHECK(within(chance(after, 1.65), 0.65, 0.005));
  for (const auto& [kg, rise] : {std::pair{15.0, 0.20}, {50.0, 0.06}}) {
    season.parameters.set("n_rate_kg_per_tenth", kg);
    CHECK(within(forecast_by_formulas(season, {}).contracts[1].at(0, 0).n_pct - before, rise, 1e-12));
  }
}

TEST_CASE("From 130 kg N/ha at 1.80 % to 1.65 % takes 45 kg less (check-values 6.5, hand check)") {
  auto season = book_w();
  season.contracts[1].typical_n_pct = 1.80;
  season.parameters.set("n_rate_reference_kg_ha", 130);
  season.contracts[1].n_rate_kg_ha = 85;
  CHECK(within(forecast_by_formulas(season, {}).contracts[1].at(0, 0).n_pct, 1.65, 1e-12));
}

TEST_CASE("L2: 21 days past the flat part cost 8.4 % and 0.09 % N; the chance falls from 0.88 to 0.68") {
  const auto season = book_w();
  SeasonPatch later;
  later.sowing_shift_days = 21;
  const auto base = forecast_by_formulas(season, {}).contracts[1].at(0, 0),
             late = forecast_by_formulas(season, later).contracts[1].at(0, 0);
  CHECK(within(late.yield_t_ha / base.yield_t_ha, 0.916, 1e-12));
  CHECK(within(late.n_pct - base.n_pct, 0.09, 1e-12));
  CHECK(within(chance(base.n_pct, 1.65), 0.88, 0.005));
  CHECK(within(chance(late.n_pct, 1.65), 0.68, 0.005));
}

TEST_CASE("M2: spirit yield of accepted grain, base year and dry year at three limits") {
  // Trade notes, story M2: 411.4; dry pair (yield x 0.91, N + 0.15) 408.0, 405.5, 404.0 LPA per t malt at 1.65, 1.75, 1.85; 403 for all
  // grain. One decimal as printed. LPA per t malt = 410 - 45 (N - 1.50), formula 1.
  const auto season = book_w();
  const auto spirit = [&](double n_rise, double limit, double yield_factor) {
    double tonnes = 0, n = 0;
    BandLimits limits;
    limits.limit = limits.stop = limits.limit_max = limit;
    for (const auto& row : season.contracts) {
      const auto shares = band_shares(limits, {*row.typical_n_pct + n_rise, 0.13, -50, 0.35, 0, 0.05});
      const double t = *row.planted_ha * *row.harvested_share * *row.yield_t_ha * yield_factor * shares.qualifying;
      tonnes += t;
      n += t * shares.n_qualifying_pct;
    }
    return 410 - 45 * (n / tonnes - 1.50);
  };
  CHECK(within(spirit(0, 1.65, 1), 411.4, 0.05));
  CHECK(within(spirit(0.15, 1.65, 0.91), 408.0, 0.05));
  CHECK(within(spirit(0.15, 1.75, 0.91), 405.5, 0.05));
  CHECK(within(spirit(0.15, 1.85, 0.91), 404.0, 0.05));
  CHECK(within(spirit(0.15, 9, 0.91), 403, 0.5));
}
