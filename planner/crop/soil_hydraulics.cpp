#include "planner/crop/soil_hydraulics.h"

#include <array>
#include <cmath>
#include <stdexcept>

namespace rickyard {
namespace {

constexpr double kHoursPerDay = 24;

bool is_fraction(double value) { return value >= 0 && value <= 1; }

}  // namespace

SoilLimits saxton_rawls(double sand_frac, double clay_frac, double organic_matter_pct) {
  const double S = sand_frac, C = clay_frac, OM = organic_matter_pct;
  if (!is_fraction(S) || !is_fraction(C) || S + C > 1 + 1e-9)
    throw std::domain_error("sand and clay must be fractions with a sum of at most 1");
  if (!(OM >= 0 && OM <= 100)) throw std::domain_error("organic matter must lie between 0 and 100 percent");
  // First solutions of the paper, then its corrections.
  const double t1500 = -0.024 * S + 0.487 * C + 0.006 * OM + 0.005 * S * OM - 0.013 * C * OM + 0.068 * S * C + 0.031;
  const double t33 = -0.251 * S + 0.195 * C + 0.011 * OM + 0.006 * S * OM - 0.027 * C * OM + 0.452 * S * C + 0.299;
  const double ts33 = 0.278 * S + 0.034 * C + 0.022 * OM - 0.018 * S * OM - 0.027 * C * OM - 0.584 * S * C + 0.078;
  SoilLimits limits;
  limits.wilting = t1500 + (0.14 * t1500 - 0.02);
  limits.field_capacity = t33 + (1.283 * t33 * t33 - 0.374 * t33 - 0.015);
  const double saturated_less_33 = ts33 + (0.636 * ts33 - 0.107);
  limits.saturation = limits.field_capacity + saturated_less_33 - 0.097 * S + 0.043;
  const bool usable =
      0 < limits.wilting && limits.wilting < limits.field_capacity && limits.field_capacity < limits.saturation && limits.saturation < 1;
  if (!usable) throw std::domain_error("the texture is outside what the water-limit equations were fitted to");
  const double B = (std::log(1500.0) - std::log(33.0)) / (std::log(limits.field_capacity) - std::log(limits.wilting));
  limits.lambda = 1 / B;
  limits.ks_mm_day = kHoursPerDay * 1930 * std::pow(limits.saturation - limits.field_capacity, 3 - limits.lambda);
  limits.matric_density = 2.65 * (1 - limits.saturation);
  return limits;
}

TextureClass usda_texture(double sand_pct, double clay_pct) {
  const double sand = sand_pct, clay = clay_pct, silt = 100 - sand - clay;
  if (silt + 1.5 * clay < 15) return TextureClass::sand;
  if (silt + 2 * clay < 30) return TextureClass::loamy_sand;
  if ((clay >= 7 && clay < 20 && sand > 52) || (clay < 7 && silt < 50)) return TextureClass::sandy_loam;
  if (clay >= 7 && clay < 27 && silt >= 28 && silt < 50 && sand <= 52) return TextureClass::loam;
  if ((silt >= 50 && clay >= 12 && clay < 27) || (silt >= 50 && silt < 80 && clay < 12)) return TextureClass::silt_loam;
  if (silt >= 80 && clay < 12) return TextureClass::silt;
  if (clay >= 20 && clay < 35 && silt < 28 && sand > 45) return TextureClass::sandy_clay_loam;
  if (clay >= 27 && clay < 40 && sand > 20 && sand <= 45) return TextureClass::clay_loam;
  if (clay >= 27 && clay < 40 && sand <= 20) return TextureClass::silty_clay_loam;
  if (clay >= 35 && sand > 45) return TextureClass::sandy_clay;
  if (clay >= 40 && silt >= 40) return TextureClass::silty_clay;
  return TextureClass::clay;
}

std::string_view texture_name(TextureClass texture) {
  static constexpr std::array<std::string_view, 12> kNames = {
      "sand",      "loamy sand",      "sandy loam", "loam",       "silt loam", "silt", "sandy clay loam",
      "clay loam", "silty clay loam", "sandy clay", "silty clay", "clay"};
  return kNames[static_cast<std::size_t>(texture)];
}

int hydrologic_group_of_ks(double ks_mm_day) {
  const double ks_mm_hour = ks_mm_day / kHoursPerDay;
  if (ks_mm_hour > 36) return 0;
  if (ks_mm_hour > 14.4) return 1;
  return ks_mm_hour > 1.44 ? 2 : 3;
}

}  // namespace rickyard
