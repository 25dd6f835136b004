#include "geo/units.h"

#include <doctest/doctest.h>

using namespace rickyard;

namespace {
double converted(Quantity quantity, Step step, const char* unit, double value) {
  const auto conversion = unit_conversion(quantity, step, unit);
  REQUIRE_MESSAGE(conversion.has_value(), unit);
  return value * conversion->factor + conversion->offset;
}
}  // namespace

TEST_CASE("units of rain, temperature and the rest, by definition") {
  struct Row {
    Quantity quantity;
    const char* unit;
    double value, ours;
  };
  for (const Row& row : {Row{Quantity::rain, "mm", 3, 3},
                         Row{Quantity::rain, "mm/day", 3, 3},
                         Row{Quantity::rain, "mm d-1", 3, 3},
                         Row{Quantity::rain, "mm day-1", 3, 3},
                         Row{Quantity::rain, "kg m-2 s-1", 1e-5, 0.864},
                         Row{Quantity::rain, "kg/m2/s", 1e-5, 0.864},
                         Row{Quantity::rain, "kg m**-2 s**-1", 1e-5, 0.864},
                         Row{Quantity::rain, "m", 0.004, 4},
                         Row{Quantity::rain, "m/day", 0.004, 4},
                         Row{Quantity::rain, "m s-1", 1e-8, 0.864},
                         Row{Quantity::rain, "kg m-2", 3, 3},
                         Row{Quantity::temperature, "K", 273.15, 0},
                         Row{Quantity::temperature, "degC", 5, 5},
                         Row{Quantity::temperature, "Celsius", 5, 5},
                         Row{Quantity::temperature, "degrees_Celsius", 5, 5},
                         Row{Quantity::wind, "m s-1", 2, 2},
                         Row{Quantity::wind, "km/h", 3.6, 1},
                         Row{Quantity::humidity, "hPa", 12, 1.2},
                         Row{Quantity::humidity, "%", 80, 0.8},
                         Row{Quantity::radiation, "W m-2", 200, 17.28},
                         Row{Quantity::radiation, "J m-2", 1.7e7, 17},
                         Row{Quantity::texture, "g/kg", 410, 41},
                         Row{Quantity::texture, "1", 0.41, 41},
                         Row{Quantity::available_water, "m3 m-3", 0.15, 150},
                         Row{Quantity::length_m, "cm", 120, 1.2},
                         Row{Quantity::stones, "%", 10, 10}})
    CHECK(converted(row.quantity, Step::day, row.unit, row.value) == doctest::Approx(row.ours).epsilon(1e-12));
}

TEST_CASE("monthly steps: totals as they are, rates by the days of the month") {
  CHECK(unit_conversion(Quantity::rain, Step::month, "mm/month") == UnitConversion{1, 0, false, false});
  CHECK(unit_conversion(Quantity::rain, Step::month, "mm/day") == UnitConversion{1, 0, true, false});
  CHECK(unit_conversion(Quantity::rain, Step::month, "kg m-2 s-1") == UnitConversion{86400, 0, true, false});
  CHECK_FALSE(unit_conversion(Quantity::rain, Step::day, "mm/month").has_value());
  CHECK_FALSE(unit_conversion(Quantity::rain, Step::month, "m").has_value());  // some archives mean metres a day by it
}

TEST_CASE("units that are not known or belong to something else are refused") {
  for (const char* unit : {"", "mm/m", "K", "inches", "mm/year", "furlongs", "1"})
    CHECK_FALSE(unit_conversion(Quantity::rain, Step::day, unit).has_value());
  for (const char* unit : {"mm", "F", "degF", ""}) CHECK_FALSE(unit_conversion(Quantity::temperature, Step::day, unit).has_value());
}
