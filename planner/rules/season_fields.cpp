#include "planner/rules/season_fields.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <charconv>

#include "planner/rules/field_lists.h"

namespace rickyard {
namespace {

constexpr std::array<std::string_view, 10> kTables = {"contracts", "backups", "demand",  "stock",     "stores",
                                                      "maltings",  "prices",  "outlets", "varieties", "history"};
constexpr std::array<std::string_view, 10> kRows = {"contract in one region",
                                                    "backup source",
                                                    "product line and month (or year)",
                                                    "lot in store",
                                                    "store",
                                                    "malting plant (and month)",
                                                    "month",
                                                    "outlet",
                                                    "variety",
                                                    "region (or grower) and crop year"};
constexpr std::array<std::string_view, 18> kRasters = {
    "rain", "tmin", "tmax",           "tmean",  "wind",       "humidity",        "radiation",      "et0",       "wet_days",
    "sand", "clay", "organic_matter", "stones", "root_depth", "available_water", "drainage_class", "crop_mask", "elevation"};

// "rasters.rain.unit" is listed as "rasters.*.unit", "closing.any" as "closing.*".
bool matches(std::string_view listed, std::string_view name) {
  const auto star = listed.find('*');
  if (star == std::string_view::npos) return listed == name;
  const std::string_view head = listed.substr(0, star), tail = listed.substr(star + 1);
  return name.size() > head.size() + tail.size() && name.starts_with(head) && name.ends_with(tail);
}

}  // namespace

std::span<const std::string_view> table_names() { return kTables; }

std::string_view row_meaning(std::string_view table) {
  const auto found = std::find(kTables.begin(), kTables.end(), table);
  return found == kTables.end() ? std::string_view{} : kRows[static_cast<std::size_t>(found - kTables.begin())];
}

std::span<const FieldSpec> fields_of(std::string_view table) {
  using namespace field_lists;
  constexpr std::array lists = {contracts, backups, demand, stock, stores, maltings, prices, outlets, varieties, history};
  if (table == "season") return keys();
  const auto found = std::find(kTables.begin(), kTables.end(), table);
  if (found == kTables.end()) return {};
  return lists[static_cast<std::size_t>(found - kTables.begin())]();
}

const FieldSpec* find_field(std::string_view table, std::string_view name) {
  for (const FieldSpec& field : fields_of(table))
    if (field.name == name) return &field;
  if (table == "season")
    for (const FieldSpec& field : fields_of(table))
      if (matches(field.name, name)) return &field;
  return nullptr;
}

double number_fallback(std::string_view table, std::string_view name) {
  const FieldSpec* field = find_field(table, name);
  assert(field != nullptr);
  double value = std::numeric_limits<double>::quiet_NaN();
  [[maybe_unused]] const auto [end, error] =
      std::from_chars(field->fallback.data(), field->fallback.data() + field->fallback.size(), value);
  assert(error == std::errc() && end == field->fallback.data() + field->fallback.size() && "the default is not a number");
  return value;
}

std::span<const std::string_view> raster_names() { return kRasters; }

}  // namespace rickyard
