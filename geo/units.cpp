#include "geo/units.h"

#include <span>
#include <string>
#include <vector>

namespace rickyard {
namespace {

// One way to write a unit. `when`: d = daily steps, m = monthly steps, b = both.
struct UnitRow {
  Quantity quantity;
  char when;
  std::string_view unit;
  double factor, offset = 0;
  bool per_day = false, relative = false;
};

constexpr double kDay = 86400;  // s

// 1 kg of water on 1 m2 is 1 mm. Spellings of a rate are folded by canonical() first ("mm day-1" -> "mm/day").
constexpr UnitRow kUnits[] = {
    {Quantity::rain, 'b', "mm", 1},
    {Quantity::rain, 'b', "kg m-2", 1},
    {Quantity::rain, 'd', "m", 1000},
    {Quantity::rain, 'd', "cm", 10},
    {Quantity::rain, 'm', "mm/month", 1},
    {Quantity::rain, 'm', "kg m-2/month", 1},
    {Quantity::rain, 'b', "mm/day", 1, 0, true},
    {Quantity::rain, 'b', "m/day", 1000, 0, true},
    {Quantity::rain, 'b', "kg m-2/day", 1, 0, true},
    {Quantity::rain, 'b', "kg m-2/s", kDay, 0, true},
    {Quantity::rain, 'b', "mm/s", kDay, 0, true},
    {Quantity::rain, 'b', "m/s", 1000 * kDay, 0, true},
    {Quantity::rain, 'b', "mm/h", 24, 0, true},
    {Quantity::temperature, 'b', "C", 1},
    {Quantity::temperature, 'b', "K", 1, -273.15},
    {Quantity::wind, 'b', "m/s", 1},
    {Quantity::wind, 'b', "km/h", 1 / 3.6},
    {Quantity::humidity, 'b', "kPa", 1},
    {Quantity::humidity, 'b', "hPa", 0.1},
    {Quantity::humidity, 'b', "mbar", 0.1},
    {Quantity::humidity, 'b', "Pa", 0.001},
    {Quantity::humidity, 'b', "%", 0.01, 0, false, true},
    {Quantity::humidity, 'b', "1", 1, 0, false, true},
    {Quantity::radiation, 'b', "MJ m-2/day", 1},
    {Quantity::radiation, 'b', "J m-2/day", 1e-6},
    {Quantity::radiation, 'd', "MJ m-2", 1},
    {Quantity::radiation, 'd', "J m-2", 1e-6},
    {Quantity::radiation, 'b', "W m-2", kDay * 1e-6},
    {Quantity::et0, 'd', "mm", 1},
    {Quantity::et0, 'd', "kg m-2", 1},
    {Quantity::et0, 'b', "mm/day", 1},
    {Quantity::et0, 'b', "kg m-2/day", 1},
    {Quantity::et0, 'b', "kg m-2/s", kDay},
    {Quantity::wet_days, 'm', "days", 1},
    {Quantity::wet_days, 'm', "days/month", 1},
    {Quantity::texture, 'b', "%", 1},
    {Quantity::texture, 'b', "1", 100},
    {Quantity::texture, 'b', "g/kg", 0.1},
    {Quantity::stones, 'b', "%", 1},
    {Quantity::stones, 'b', "1", 100},
    {Quantity::stones, 'b', "m3 m-3", 100},
    {Quantity::length_m, 'b', "m", 1},
    {Quantity::length_m, 'b', "cm", 0.01},
    {Quantity::length_m, 'b', "mm", 0.001},
    {Quantity::available_water, 'b', "mm/m", 1},
    {Quantity::available_water, 'b', "m3 m-3", 1000},
    {Quantity::available_water, 'b', "1", 1000},
    {Quantity::available_water, 'b', "%", 10},
    {Quantity::plain, 'b', "1", 1},
    {Quantity::plain, 'b', "%", 0.01},
};

void replace_all(std::string& text, std::string_view from, std::string_view to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) text.replace(at, from.size(), to);
}

bool ends_with_rate(std::string& text, std::string_view tail, std::string_view rate) {
  if (!text.ends_with(tail)) return false;
  text.replace(text.size() - tail.size(), tail.size(), rate);
  return true;
}

// Folds spellings: powers, separators, words for temperature, rates.
std::string canonical(std::string_view given) {
  std::string text(given);
  while (!text.empty() && text.front() == ' ') text.erase(text.begin());
  while (!text.empty() && text.back() == ' ') text.pop_back();
  for (const std::string_view name : {"degC", "deg_C", "deg C", "Celsius", "celsius", "degree_Celsius", "degrees_Celsius", "degree_C",
                                      "degrees_C", "degrees Celsius", "degree Celsius",
                                      "\xC2\xB0"
                                      "C",
                                      "degree_celsius", "degrees_celsius"})
    if (text == name) return "C";
  for (const std::string_view name : {"Kelvin", "kelvin", "degK", "deg_K", "degree_K", "degrees_K"})
    if (text == name) return "K";
  for (const std::string_view name : {"percent", "pct", "vol%", "% by volume", "% by weight", "volume percent"})
    if (text == name) return "%";
  for (const std::string_view name : {"fraction", "kg/kg", "kg kg-1", "g/g", "g g-1"})
    if (text == name) return "1";
  for (const std::string_view name : {"m3/m3", "m^3/m^3", "m^3 m^-3", "cm3/cm3", "cm3 cm-3", "m**3 m**-3"})
    if (text == name) return "m3 m-3";
  for (const std::string_view name : {"d", "day"})
    if (text == name) return "days";
  if (text == "g kg-1") return "g/kg";
  if (text == "mm m-1") return "mm/m";
  if (text == "metre" || text == "metres" || text == "meter" || text == "meters") return "m";
  if (text == "hectopascal") return "hPa";
  replace_all(text, "**", "");
  replace_all(text, "^", "");
  replace_all(text, "/m2", " m-2");
  replace_all(text, "*", " ");
  replace_all(text, ".", " ");
  replace_all(text, " / ", "/");
  for (const std::string_view day : {" d-1", " day-1", " days-1", "/d", "/days", " per day"})
    if (ends_with_rate(text, day, "/day")) return text;
  for (const std::string_view second : {" s-1", " sec-1", "/sec", "/second"})
    if (ends_with_rate(text, second, "/s")) return text;
  for (const std::string_view hour : {" h-1", " hr-1", " hour-1", "/hr", "/hour"})
    if (ends_with_rate(text, hour, "/h")) return text;
  for (const std::string_view month : {" month-1", " mon-1", "/mon", " per month"})
    if (ends_with_rate(text, month, "/month")) return text;
  return text;
}

bool applies(const UnitRow& row, Quantity quantity, Step step) {
  return row.quantity == quantity && (row.when == 'b' || (row.when == 'd') == (step == Step::day));
}

}  // namespace

std::optional<UnitConversion> unit_conversion(Quantity quantity, Step step, std::string_view unit) {
  const std::string text = canonical(unit);
  if (quantity == Quantity::plain && text.empty()) return UnitConversion{};
  for (const auto& row : kUnits)
    if (applies(row, quantity, step) && row.unit == text)
      return UnitConversion{row.factor, row.offset, row.per_day && step == Step::month, row.relative};
  return std::nullopt;
}

std::string known_units(Quantity quantity, Step step) {
  std::string list;
  for (const auto& row : kUnits)
    if (applies(row, quantity, step)) list += (list.empty() ? "" : ", ") + std::string(row.unit);
  return list;
}

}  // namespace rickyard
