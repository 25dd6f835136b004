#pragma once
// Water limits of a soil from its texture (Saxton & Rawls 2006) and the USDA texture class.
#include <string_view>

namespace rickyard {

/// Volumetric fractions (m3/m3), saturated conductivity (mm/d), pore-size index lambda (1), matric density (g/cm3).
struct SoilLimits {
  double wilting = 0, field_capacity = 0, saturation = 0;
  double ks_mm_day = 0;
  double lambda = 0, matric_density = 0;
};

/// Saxton & Rawls 2006 (SSSAJ 70:1569-1578), without gravel or density change.
/// sand_frac, clay_frac: by weight, each 0..1 with a sum of at most 1; organic_matter_pct: by weight, 0..8 in the paper's data.
/// Throws std::domain_error where an argument is outside 0..1 (0..100 for organic matter) or the equations give no
/// usable soil (needs 0 < wilting < field_capacity < saturation < 1).
SoilLimits saxton_rawls(double sand_frac, double clay_frac, double organic_matter_pct);

enum class TextureClass {
  sand,
  loamy_sand,
  sandy_loam,
  loam,
  silt_loam,
  silt,
  sandy_clay_loam,
  clay_loam,
  silty_clay_loam,
  sandy_clay,
  silty_clay,
  clay
};

/// USDA texture triangle; percent by weight; silt is the rest. First matching rule in the order of TextureClass.
TextureClass usda_texture(double sand_pct, double clay_pct);
/// "silty clay loam".
std::string_view texture_name(TextureClass texture);

/// Hydrologic soil group 0..3 = A..D from the saturated conductivity in mm/d. Limits of NEH 630 chapter 7, table 7-1,
/// for a soil at least 1 m deep with no shallow water table (from memory): A over 36 mm/h, B over 14.4, C over 1.44.
int hydrologic_group_of_ks(double ks_mm_day);

}  // namespace rickyard
