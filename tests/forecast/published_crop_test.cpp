// The daily step of the crop against replays of FAO-56, thermal time, and grain arithmetic: what crop_water_test.cpp leaves open,
// and the known wrong turns (check-values 2.1, 2.3, 2.5, 2.6, 5, 6.1, 6.2, 6.5).
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "planner/crop/canopy.h"
#include "planner/crop/soil_water.h"
#include "planner/crop/stages.h"
#include "planner/crop/yield_response.h"
#include "planner/quality/contract_terms.h"
#include "planner/quality/grain.h"
#include "tests/forecast/season_maker.h"
#include "tests/forecast/seattle.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }

WaterSettings default_water() { return CropSettings::from(make_season().parameters).water; }

// A column whose roots fill it, that sheds and drains nothing.
SoilColumn plain_column(double wilting, double field_capacity, double depth_m, double tew_mm, double rew_mm) {
  SoilColumn column;
  column.wilting = wilting;
  column.field_capacity = field_capacity;
  column.saturation = 0.45;
  column.shallow_m = 0.3;
  column.full_m = depth_m;
  column.evaporation_m = 0.1;
  column.tew_mm = tew_mm;
  column.rew_mm = rew_mm;
  column.retention = 1000;
  return column;
}

}  // namespace

TEST_CASE("FAO-56 example 37 through the daily step: ten dry days on a dry surface (inputs and print from memory)") {
  auto settings = default_water();
  settings.depletion_fraction = 0.44;  // p of the day is 0.44 + 0.04 (5 - 6) = 0.40, as in the example
  const auto column = plain_column(0.12, 0.32, 0.8, 26, 8);
  SoilWater water{1000 * 0.32 * 0.8 - 55, 0, 0.8, column.tew_mm};
  const WaterDemand demand{0, 5, 1.2, 0.99};
  const std::array<double, 10> start = {55.000, 61.000, 67.000, 72.812, 78.262, 83.370, 88.160, 92.650, 96.859, 100.805};
  const std::array<double, 10> ks = {1, 1, 0.96875, 0.9082, 0.8514, 0.7982, 0.7483, 0.7016, 0.6577, 0.6166};
  const std::array<double, 10> etc = {6.0000, 6.0000, 5.8125, 5.4492, 5.1086, 4.7894, 4.4900, 4.2094, 3.9463, 3.6997};
  const std::array<double, 10> printed_etc = {6.0, 6.0, 5.8, 5.4, 5.1, 4.8, 4.5, 4.2, 3.9, 3.7};
  double sum = 0, potential = 0;
  for (std::size_t day = 0; day < 10; ++day) {
    CAPTURE(day);
    CHECK(within(root_depletion_mm(column, water), start[day], 0.001));
    const auto step = advance(column, settings, demand, water);
    CHECK(within(step.ks, ks[day], 0.0001));
    CHECK(step.evaporation_mm == 0);
    CHECK(within(step.transpiration_mm, etc[day], 0.0001));
    CHECK(within(step.transpiration_mm, printed_etc[day], 0.05));
    CHECK(step.runoff_mm + step.drainage_mm == 0);
    sum += step.transpiration_mm;
    potential += step.et_potential_mm;
  }
  CHECK(within(root_depletion_mm(column, water), 104.505, 0.001));
  CHECK(within(potential, 60, 1e-9));
  CHECK(within(sum / potential, 0.82508, 0.000005));
  CHECK(within(water_yield_factor(1.05, sum, potential), 0.8163, 0.00005));
  CHECK(within(water_yield_factor(1.15, sum, potential), 0.7988, 0.00005));
}

TEST_CASE("FAO-56 example 35 through the daily step: days 6 to 10, from 6 mm of rain on (inputs from memory, rows recomputed)") {
  struct Row {
    double kcb, et0, few, de_start, e, etc, de_end;
  };
  const Row rows[] = {{0.356, 2.7, 0.849, 10.94, 1.63, 2.59, 12.86},
                      {0.367, 5.8, 0.839, 12.86, 2.52, 4.64, 15.86},
                      {0.378, 5.1, 0.830, 15.86, 0.91, 2.84, 16.96},
                      {0.389, 4.7, 0.820, 16.96, 0.40, 2.23, 17.45},
                      {0.400, 5.2, 0.811, 17.45, 0.23, 2.31, 17.74}};
  auto settings = default_water();
  settings.kc_max = 1.21203;           // eq. 72 for h 0.30 m, 1.6 m/s, 35 %
  settings.depletion_fraction = 0.80;  // no stress in the example
  const auto column = plain_column(0.10, 0.23, 0.5, 18, 8);
  SoilWater water{1000 * 0.23 * 0.5 - 20, 0, 0.5, 16.94};
  for (std::size_t i = 0; i < 5; ++i) {
    CAPTURE(i);
    const double kcb = 0.30 + 0.10 * static_cast<double>(i + 5) / 9, rain = i == 0 ? 6 : 0;
    const double cover = covered_frac(kcb, 0.15, settings.kc_max, 0.30);
    CHECK(within(kcb, rows[i].kcb, 0.0005));
    CHECK(within(1 - cover, rows[i].few, 0.0005));
    CHECK(within(std::max(water.surface_depletion_mm - rain, 0.0), rows[i].de_start, 0.01));
    const auto step = advance(column, settings, {rain, rows[i].et0, kcb, cover}, water);
    CHECK(step.runoff_mm == 0);
    CHECK(step.ks == 1);
    CHECK(within(step.evaporation_mm, rows[i].e, 0.01));
    CHECK(within(step.evaporation_mm + step.transpiration_mm, rows[i].etc, 0.01));
    CHECK(within(water.surface_depletion_mm, rows[i].de_end, 0.01));
  }
}

TEST_CASE("Depletion fraction of the day stays within 0.1 and 0.8 (FAO-56, from memory)") {
  CHECK(depletion_fraction_of_day(0.55, 30) == 0.1);
  CHECK(depletion_fraction_of_day(0.80, 1) == 0.8);
  CHECK(within(depletion_fraction_of_day(0.55, 5), 0.55, 1e-12));
}

TEST_CASE("Defaults stand where the sources say: kc_max, stages, height and roots") {
  const auto p = make_season().parameters;
  CHECK(p["kc_max"] == 1.20);  // eq. 72 at 2 m/s and 45 %
  // Montana State Univ. guide MT200103AG (from memory), C d base 0 from seeding; heading may lie as late as 1,350 (Alqudah &
  // Schnurbusch 2014). Ripeness: 1,269 to 1,522 there, 1,100 in interior Alaska (Sharratt 1999).
  CHECK(p["base_temperature_c"] == 0);
  CHECK(p["emergence_cd"] >= 109);
  CHECK(p["emergence_cd"] <= 145);
  CHECK(p["stem_extension_cd"] >= 489);
  CHECK(p["stem_extension_cd"] <= 555);
  CHECK(p["heading_cd"] >= 738);
  CHECK(p["heading_cd"] <= 1350);
  CHECK(p["ripeness_cd"] >= 1269);
  CHECK(p["ripeness_cd"] <= 1522);
  CHECK(p.spec("ripeness_cd").min <= 1100);  // data, not a constant: 1,100 may be given
  CHECK(p["root_depth_max_m"] >= 1.0);       // FAO-56 table 22: 1.0 to 1.5 m
  CHECK(p["root_depth_max_m"] <= 1.5);
}

TEST_CASE("Degree-days are method 1, not method 2 (McMaster & Wilhelm 1997), which raises both extremes to the base first") {
  const auto degree_days = [](double tmax, double tmin, double base) {
    return thermal_units(static_cast<int>(std::lround(100 * (tmax + tmin))), base) / kThermalUnitsPerDegreeDay;
  };
  CHECK(degree_days(10, -4, 0) == 3.0);
  CHECK_FALSE(within(degree_days(10, -4, 0), 5.0, 1));
  CHECK(degree_days(4, -6, 0) == 0.0);
  CHECK_FALSE(within(degree_days(4, -6, 0), 2.0, 1));
  // Seattle 2012, base 5 C, whole year: 2,396.20 by method 1, 2,502.10 by method 2.
  const auto archive = seattle_archive();
  double one = 0, two = 0;
  for (std::size_t day = 0; day < 366; ++day) {
    const int tmin = archive.tmin_cc[day], tmax = archive.tmax_cc[day];
    one += thermal_units(tmin + tmax, 5) / kThermalUnitsPerDegreeDay;
    two += thermal_units(std::max(tmin, 500) + std::max(tmax, 500), 5) / kThermalUnitsPerDegreeDay;
  }
  CHECK(within(one, 2396.20, 1e-6));
  CHECK(within(two, 2502.10, 1e-6));  // the trap is the trap we think it is
}

TEST_CASE("Protein of barley is N x 6.25; 5.7 is for wheat (check-values 6.1, exact)") {
  const double n[] = {1.40, 1.55, 1.60, 1.65, 1.75, 1.85, 1.440, 1.520, 1.680, 1.840, 1.920};
  const double protein[] = {8.750, 9.6875, 10.000, 10.3125, 10.9375, 11.5625, 9.0, 9.5, 10.5, 11.5, 12.0};
  for (int i = 0; i < 11; ++i) {
    CHECK(within(protein_pct(n[i]), protein[i], 1e-12));
    CHECK_FALSE(within(protein_pct(n[i]), 5.7 * n[i], 0.5));
  }
}

TEST_CASE("Moisture: factors from dry matter, shrink by point, and a table that prints 1.13 for 1.12") {
  // Tonnes at base moisture m from one tonne of dry matter: 100/(100 - m).
  const double moisture[] = {15, 14, 13, 12, 10}, printed[] = {1.18, 1.16, 1.15, 1.14, 1.11};
  for (int i = 0; i < 5; ++i) CHECK(within(moisture_corrected_t(1, 0, moisture[i]), printed[i], 0.005));
  CHECK(within(moisture_corrected_t(1, 0, 11), 1.1236, 0.00005));
  CHECK_FALSE(within(moisture_corrected_t(1, 0, 11), 1.13, 0.005));  // the misprint
  const double shrink_pct = 100 - moisture_corrected_t(100, 25.5, 15.5);
  CHECK(within(shrink_pct, 11.8343, 0.00005));
  CHECK(within(shrink_pct / 10, 1.18343, 0.000005));  // per point
  CHECK_FALSE(within(shrink_pct, 10, 1));             // ten points of moisture are not 10 % of the weight
  CHECK(within(100 - moisture_corrected_t(100, 25, 15.5), 11.2426, 0.00005));
}

TEST_CASE("Nitrogen rate: 30 kg/ha less is 0.1 % less; 130 kg at 1.80 % to 1.65 % is 85 kg (RB209 Section 4, 2023)") {
  auto season = make_season();
  season.parameters.set("n_rate_reference_kg_ha", 130);
  const auto settings = QualitySettings::from(season.parameters);
  auto row = contract("A", 100, 7.0, 1.80);
  const auto n_at = [&](double rate) {
    row.n_rate_kg_ha = rate;
    const auto terms = contract_terms(season, settings, row);
    return terms.n_pct + terms.n_added_pct;
  };
  CHECK(within(n_at(130), 1.80, 1e-12));
  CHECK(within(n_at(100), 1.70, 1e-12));
  CHECK(within(n_at(85), 1.65, 1e-12));
  // A trial series found 29 kg; a flatter answer, 50 kg for 0.1 %, is in the farm press: both may be given.
  const auto& spec = season.parameters.spec("n_rate_kg_per_tenth");
  CHECK(spec.min <= 29);
  CHECK(spec.max >= 50);
  season.parameters.set("n_rate_kg_per_tenth", 50);
  const auto flatter = QualitySettings::from(season.parameters);
  row.n_rate_kg_ha = 175;
  const double high = contract_terms(season, flatter, row).n_added_pct;
  row.n_rate_kg_ha = 125;
  CHECK(within(high - contract_terms(season, flatter, row).n_added_pct, 0.1, 1e-12));  // 125 to 175 kg: 0.1 %
}
