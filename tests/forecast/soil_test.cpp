// Runoff, water limits and texture classes against published tables (check-values 3 and 4).
#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <stdexcept>

#include "planner/crop/soil_hydraulics.h"
#include "planner/weather/runoff.h"

using namespace rickyard;

namespace {
bool within(double value, double expected, double tolerance) { return std::abs(value - expected) <= tolerance; }
}  // namespace

TEST_CASE("TR-55 table 2-1 (USDA-NRCS 1986): runoff depth in inches") {
  constexpr std::array<double, 11> kNumbers = {40, 50, 60, 65, 70, 75, 80, 85, 90, 95, 98};
  struct Row {
    double rain_in;
    std::array<double, 11> runoff_in;
  };
  const Row rows[] = {{1.0, {0.00, 0.00, 0.00, 0.00, 0.00, 0.03, 0.08, 0.17, 0.32, 0.56, 0.79}},
                      {2.0, {0.00, 0.00, 0.06, 0.14, 0.24, 0.38, 0.56, 0.80, 1.09, 1.48, 1.77}},
                      {3.0, {0.00, 0.09, 0.33, 0.51, 0.71, 0.96, 1.25, 1.59, 1.98, 2.45, 2.77}},
                      {4.0, {0.06, 0.33, 0.76, 1.03, 1.33, 1.67, 2.04, 2.46, 2.92, 3.43, 3.77}},
                      {5.0, {0.24, 0.69, 1.30, 1.65, 2.04, 2.45, 2.89, 3.37, 3.88, 4.42, 4.76}},
                      {6.0, {0.50, 1.14, 1.92, 2.35, 2.81, 3.28, 3.78, 4.30, 4.85, 5.41, 5.76}},
                      {8.0, {1.25, 2.25, 3.33, 3.89, 4.46, 5.04, 5.63, 6.21, 6.81, 7.40, 7.76}},
                      {10.0, {2.23, 3.56, 4.90, 5.56, 6.22, 6.88, 7.52, 8.16, 8.78, 9.40, 9.76}},
                      {15.0, {5.33, 7.35, 9.19, 10.04, 10.85, 11.63, 12.37, 13.07, 13.74, 14.39, 14.76}}};
  for (const auto& row : rows)
    for (std::size_t i = 0; i < kNumbers.size(); ++i) {
      CAPTURE(row.rain_in);
      CAPTURE(kNumbers[i]);
      CHECK(within(runoff_mm(25.4 * row.rain_in, retention_mm(kNumbers[i])) / 25.4, row.runoff_in[i], 0.0051));
    }
}

TEST_CASE("Curve number runoff in mm: spot values computed from the published equation") {
  CHECK(within(retention_mm(75), 84.667, 0.0005));
  CHECK(within(runoff_mm(152.4, retention_mm(75)), 83.364, 0.0005));
  CHECK(within(runoff_mm(50, retention_mm(75)), 9.287, 0.0005));
  CHECK(within(runoff_mm(50, retention_mm(63)), 2.401, 0.0005));
  CHECK(within(runoff_mm(50, retention_mm(83)), 17.112, 0.0005));
  CHECK(within(runoff_mm(80, retention_mm(87)), 47.508, 0.0005));
  CHECK(runoff_mm(16.9, retention_mm(75)) == 0);
  CHECK(runoff_mm(30, retention_mm(61)) == 0);
}

TEST_CASE("Saxton & Rawls 2006: point check") {
  const auto soil = saxton_rawls(0.20, 0.20, 2.5);
  CHECK(within(soil.wilting, 0.1365448, 5e-7));
  CHECK(within(soil.field_capacity, 0.3208775, 5e-7));
  CHECK(within(soil.saturation, 0.482125, 5e-7));
  CHECK(within(soil.ks_mm_day / 24, 12.174, 0.0005));
  CHECK(within(soil.lambda, 0.223859, 5e-7));
  CHECK(within(soil.matric_density, 1.37237, 5e-6));
}

TEST_CASE("Saxton & Rawls 2006, table 3: twelve textures at 2.5 % organic matter") {
  struct Row {
    TextureClass texture;
    double sand, clay, wp, fc, sat, ks, density;
  };
  const Row rows[] = {{TextureClass::sand, 88, 5, 5, 10, 46, 108.1, 1.43},
                      {TextureClass::loamy_sand, 80, 5, 5, 12, 46, 96.7, 1.43},
                      {TextureClass::sandy_loam, 65, 10, 8, 18, 45, 50.3, 1.46},
                      {TextureClass::loam, 40, 20, 14, 28, 46, 15.5, 1.43},
                      {TextureClass::silt_loam, 20, 15, 11, 31, 48, 16.1, 1.38},
                      {TextureClass::silt, 10, 5, 6, 30, 48, 22.0, 1.38},
                      {TextureClass::sandy_clay_loam, 60, 25, 17, 27, 43, 11.3, 1.50},
                      {TextureClass::clay_loam, 30, 35, 22, 36, 48, 4.3, 1.39},
                      {TextureClass::silty_clay_loam, 10, 35, 22, 38, 51, 5.7, 1.30},
                      {TextureClass::silty_clay, 10, 45, 27, 41, 52, 3.7, 1.26},
                      {TextureClass::sandy_clay, 50, 40, 25, 36, 44, 1.4, 1.47},
                      {TextureClass::clay, 25, 50, 30, 42, 50, 1.1, 1.33}};
  for (const auto& row : rows) {
    CAPTURE(texture_name(row.texture));
    const auto soil = saxton_rawls(row.sand / 100, row.clay / 100, 2.5);
    CHECK(within(100 * soil.wilting, row.wp, 0.5));
    CHECK(within(100 * soil.field_capacity, row.fc, 0.5));
    CHECK(within(100 * soil.saturation, row.sat, 0.5));
    CHECK(within(soil.ks_mm_day / 24, row.ks, 0.06));
    CHECK(within(soil.matric_density, row.density, 0.005));
    CHECK(usda_texture(row.sand, row.clay) == row.texture);
  }
}

TEST_CASE("Saxton & Rawls refuses what is no texture") {
  CHECK_THROWS_AS(saxton_rawls(0.7, 0.5, 2.5), std::domain_error);
  CHECK_THROWS_AS(saxton_rawls(-0.1, 0.5, 2.5), std::domain_error);
  CHECK_THROWS_AS(saxton_rawls(40, 20, 2.5), std::domain_error);
  CHECK_THROWS_AS(saxton_rawls(std::nan(""), 0.2, 2.5), std::domain_error);
}

TEST_CASE("USDA texture triangle: every whole composition has a class, and the counts are those of the rules") {
  std::array<int, 12> count{};
  for (int sand = 0; sand <= 100; ++sand)
    for (int clay = 0; sand + clay <= 100; ++clay) ++count[static_cast<std::size_t>(usda_texture(sand, clay))];
  // sand, loamy sand, sandy loam, loam, silt loam, silt, SCL, CL, SiCL, SC, SiC, C (check-values 4.3)
  const std::array<int, 12> expected = {85, 155, 565, 349, 840, 186, 392, 325, 273, 210, 231, 1540};
  CHECK(count == expected);
  CHECK(usda_texture(30, 30) == TextureClass::clay_loam);
}

TEST_CASE("Hydrologic groups fall with conductivity") {
  CHECK(hydrologic_group_of_ks(saxton_rawls(0.88, 0.05, 2.5).ks_mm_day) == 0);
  CHECK(hydrologic_group_of_ks(saxton_rawls(0.40, 0.20, 2.5).ks_mm_day) == 1);
  CHECK(hydrologic_group_of_ks(saxton_rawls(0.30, 0.35, 2.5).ks_mm_day) == 2);
  CHECK(hydrologic_group_of_ks(saxton_rawls(0.25, 0.50, 2.5).ks_mm_day) == 3);
}
