#pragma once
// Units as raster files spell them, and the one place where they are turned into ours.
#include <optional>
#include <string>
#include <string_view>

namespace rickyard {

enum class Quantity {
  rain,             // mm in the step (day or month)
  temperature,      // C
  wind,             // m/s
  humidity,         // vapour pressure kPa, or relative humidity as a fraction (see UnitConversion::relative)
  radiation,        // MJ/m2/d
  et0,              // mm/d
  wet_days,         // days with rain in a month
  texture,          // sand, clay, organic matter: percent by weight
  stones,           // percent by volume
  length_m,         // rooting depth, elevation
  available_water,  // mm/m
  plain             // no unit: drainage class, crop mask
};

enum class Step { day, month };

/// ours = (theirs * factor + offset), times the days of the month where per_day is true and the step is a month.
struct UnitConversion {
  double factor = 1, offset = 0;
  bool per_day = false;
  bool relative = false;  // humidity only: relative humidity, 0..1
  bool operator==(const UnitConversion&) const = default;
};

/// nullopt: the unit is not known for this quantity and step.
std::optional<UnitConversion> unit_conversion(Quantity quantity, Step step, std::string_view unit);

/// What may be written, for messages: "mm, mm/day, kg m-2 s-1, m".
std::string known_units(Quantity quantity, Step step);

}  // namespace rickyard
