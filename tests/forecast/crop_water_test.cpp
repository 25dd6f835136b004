// Crop water against FAO-56 replays (check-values 2.1, 2.4 to 2.7), thermal time (5.1) and grain arithmetic (6.1, 6.2).
#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "planner/crop/canopy.h"
#include "planner/crop/parameters.h"
#include "planner/crop/soil_water.h"
#include "planner/crop/stages.h"
#include "planner/crop/yield_response.h"
#include "planner/quality/grain.h"
#include "planner/quality/grain_model.h"
#include "planner/quality/trade_formulas.h"

using namespace rickyard;

namespace {
bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }
}  // namespace

TEST_CASE("FAO-56 tables 12, 17 and 22: barley defaults (second-hand transcription)") {
  const ParameterSet p(crop_parameters());
  CHECK(p["kcb_initial"] == 0.15);
  CHECK(p["kcb_mid"] == 1.10);
  CHECK(p["kcb_end"] == 0.15);
  CHECK(p["crop_height_m"] == 1.0);
  CHECK(p["root_depth_max_m"] == 1.0);
  CHECK(p["depletion_fraction"] == 0.55);
  CHECK(p["curve_number_a"] == 63);  // NEH 630 table 9-1, small grain, straight row, good
  CHECK(p["curve_number_b"] == 75);
  CHECK(p["curve_number_c"] == 83);
  CHECK(p["curve_number_d"] == 87);
}

TEST_CASE("FAO-56 readily available water of three crops on three soils (example 36, inputs from memory)") {
  struct Soil {
    double fc, wp;
    std::array<double, 3> raw;
  };
  const Soil soils[] = {{0.15, 0.06, {10.8, 28.8, 59.4}}, {0.32, 0.15, {20.4, 54.4, 112.2}}, {0.35, 0.23, {14.4, 38.4, 79.2}}};
  const std::array<double, 3> depth = {0.4, 0.8, 1.2}, p = {0.30, 0.40, 0.55};
  for (const auto& soil : soils)
    for (std::size_t crop = 0; crop < 3; ++crop) {
      const double taw = 1000 * (soil.fc - soil.wp) * depth[crop], raw = p[crop] * taw;
      CHECK(within(raw, soil.raw[crop], 1e-9));
      // Stress starts exactly where the readily available water ends.
      CHECK(water_stress(raw, taw, p[crop]) == doctest::Approx(1).epsilon(1e-12));
      CHECK(water_stress(raw + 0.01 * taw, taw, p[crop]) < 1);
    }
}

TEST_CASE("FAO-56 stress replay: ten dry days (example 37, inputs from memory)") {
  const std::array<double, 10> ks = {1.0, 1.0, 0.96875, 0.9082, 0.8514, 0.7982, 0.7483, 0.7016, 0.6577, 0.6166};
  const std::array<double, 10> printed = {1.00, 1.00, 0.97, 0.91, 0.85, 0.80, 0.75, 0.70, 0.66, 0.62};
  const std::array<double, 10> end = {61.000, 67.000, 72.812, 78.262, 83.370, 88.160, 92.650, 96.859, 100.805, 104.505};
  double depletion = 55, sum = 0;
  for (std::size_t day = 0; day < 10; ++day) {
    CAPTURE(day);
    const double stress = water_stress(depletion, 160, 0.40);
    CHECK(within(stress, ks[day], 0.0001));
    CHECK(within(stress, printed[day], 0.005));
    depletion += stress * 6;
    sum += stress * 6;
    CHECK(within(depletion, end[day], 0.001));
  }
  CHECK(within(sum, 49.505, 0.001));
  CHECK(within(water_yield_factor(1.05, sum, 60), 0.8163, 0.0001));
  CHECK(within(water_yield_factor(1.15, sum, 60), 0.7988, 0.0001));
}

TEST_CASE("FAO-56 dual-coefficient replay (example 35, inputs from memory)") {
  struct Row {
    double few, kcb, de_start, kr, ke, de_end, e, kc, etc;
  };
  const Row rows[] = {
      {0.800, 0.300, 0.00, 1.000, 0.912, 5.13, 4.10, 1.212, 5.45},   {0.800, 0.311, 5.13, 1.000, 0.901, 10.76, 4.50, 1.212, 6.06},
      {0.800, 0.322, 10.76, 0.724, 0.644, 13.90, 2.51, 0.966, 3.77}, {0.800, 0.333, 13.90, 0.410, 0.360, 15.79, 1.51, 0.694, 2.91},
      {0.800, 0.344, 15.79, 0.221, 0.192, 16.94, 0.92, 0.536, 2.57}, {0.849, 0.356, 10.94, 0.706, 0.605, 12.86, 1.63, 0.960, 2.59},
      {0.839, 0.367, 12.86, 0.514, 0.434, 15.86, 2.52, 0.801, 4.64}, {0.830, 0.378, 15.86, 0.214, 0.178, 16.96, 0.91, 0.556, 2.84},
      {0.820, 0.389, 16.96, 0.104, 0.086, 17.45, 0.40, 0.475, 2.23}, {0.811, 0.400, 17.45, 0.055, 0.045, 17.74, 0.23, 0.445, 2.31}};
  const std::array<double, 10> et0 = {4.5, 5.0, 3.9, 4.2, 4.8, 2.7, 5.8, 5.1, 4.7, 5.2};
  const double kc_max = 1.21203, tew = 18, rew = 8;
  double depletion = 18;
  for (std::size_t i = 0; i < 10; ++i) {
    CAPTURE(i);
    const double kcb = 0.30 + 0.10 * static_cast<double>(i) / 9;
    const double wetted = i < 5 ? 0.8 : 1.0;  // 40 mm of irrigation on 0.8 of the ground, then 6 mm of rain on all
    if (i == 0) depletion = std::max(depletion - 40 / 0.8, 0.0);
    if (i == 5) depletion = std::max(depletion - 6, 0.0);
    const double few = std::min(1 - covered_frac(kcb, 0.15, kc_max, 0.30), wetted);
    const double kr = evaporation_reduction(depletion, tew, rew), ke = evaporation_coefficient(kr, kc_max, kcb, few);
    CHECK(within(few, rows[i].few, 0.01));
    CHECK(within(depletion, rows[i].de_start, 0.01));
    CHECK(within(kr, rows[i].kr, 0.01));
    CHECK(within(ke, rows[i].ke, 0.01));
    CHECK(within(ke * et0[i], rows[i].e, 0.01));
    CHECK(within(ke + kcb, rows[i].kc, 0.01));
    CHECK(within((ke + kcb) * et0[i], rows[i].etc, 0.01));
    depletion += ke * et0[i] / few;
    CHECK(within(depletion, rows[i].de_end, 0.01));
  }
}

TEST_CASE("Depletion fraction of the day (FAO-56): p 0.55 at 3, 7 and 2 mm/d") {
  CHECK(within(depletion_fraction_of_day(0.55, 3), 0.63, 1e-12));
  CHECK(within(depletion_fraction_of_day(0.55, 7), 0.47, 1e-12));
  CHECK(within(depletion_fraction_of_day(0.55, 2), 0.67, 1e-12));
  CHECK(depletion_fraction_of_day(0.55, 20) == 0.1);
}

TEST_CASE("FAO-56 eq. 90 by hand: ratio 0.8 gives 0.77 at Ky 1.15 and 0.79 at 1.05") {
  CHECK(within(water_yield_factor(1.15, 8, 10), 0.77, 1e-12));
  CHECK(within(water_yield_factor(1.05, 8, 10), 0.79, 1e-12));
  CHECK(water_yield_factor(1.15, 0, 0) == 1);
}

TEST_CASE("Degree-days, method 1 (McMaster & Wilhelm 1997): the mean is floored at the base") {
  const auto degree_days = [](double tmax, double tmin, double base) {
    return thermal_units(static_cast<int>(std::lround(100 * (tmax + tmin))), base) / kThermalUnitsPerDegreeDay;
  };
  CHECK(degree_days(10, -4, 0) == 3.0);
  CHECK(degree_days(20, 8, 0) == 14.0);
  CHECK(degree_days(4, -6, 0) == 0.0);
  CHECK(degree_days(20, 8, 5) == 9.0);
}

TEST_CASE("Day length slows development only where it is asked to") {
  StageSettings stages{0, 130, 500, 850, 1500, 0, 16};
  CHECK(day_length_factor(stages, 10) == 1);
  stages.day_length_sensitivity = 0.1;
  CHECK(within(day_length_factor(stages, 14), 0.8, 1e-12));
  CHECK(day_length_factor(stages, 17) == 1);
  CHECK(day_length_factor(stages, 2) == 0);
}

TEST_CASE("Moisture correction (public shrink tables)") {
  CHECK(within(moisture_corrected_t(1000, 25.5, 15.5), 881.657, 0.0005));
  CHECK(within(1000 - moisture_corrected_t(1000, 25, 15.5), 112.426, 0.0005));
  CHECK(within(moisture_corrected_t(1000, 18), 959.064, 0.0005));
  CHECK(within(moisture_corrected_t(1000, 16), 982.456, 0.0005));
  CHECK(within(moisture_corrected_t(1000, 19), 947.368, 0.0005));
  CHECK(within(moisture_corrected_t(28, 15.6), 27.64, 0.005));  // user story B7
}

TEST_CASE("In-field yield of 6.0 t/ha with 12 % headlands is 5.75 on the whole field (user story L5)") {
  CHECK(within(whole_field_yield(6.0, 0.12, 2.08), 5.75, 0.0005));
}

TEST_CASE("Late share: 12 combine days against 20 needed leave 40 % late (user story L6)") {
  CHECK(within(late_share(12, 20), 0.4, 1e-12));
  CHECK(late_share(25, 20) == 0);
  CHECK(late_share(0, 0) == 0);
}

TEST_CASE("Protein is nitrogen x 6.25 (check-values 6.1)") { CHECK(protein_pct(1.65) == doctest::Approx(10.3125).epsilon(1e-14)); }

TEST_CASE("Trade formulas 4 and 5: sowing, water, dilution") {
  CHECK(within(1 - sowing_factor({}, 21), 0.084, 1e-12));  // user story L2: 21 days past the flat part
  CHECK(within(1 - sowing_factor({}, 31), 0.084 + 0.09, 1e-12));
  CHECK(sowing_factor({}, -10) == 1);
  CHECK(within(deficit_factor(160, 110), 0.90, 1e-12));
  CHECK(deficit_factor(90, 110) == 1);
  // Worked book W: with k 0.5 a yield loss of 9 % gives +0.073 % N on 1.48; k 1 dilutes nothing.
  CHECK(within(diluted_n_pct(1.48, 0.09, 0.5) - 1.48, 0.073, 0.0005));
  CHECK(within(diluted_n_pct(1.48, 0.3, 1), 1.48, 1e-12));
  CHECK(within(diluted_n_pct(1.48, 0.09, 0), 1.48 / 0.91, 1e-12));
}
