// The reference of columns and keys: complete, and the same as what the reader visits.
#include "planner/rules/season_fields.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <set>

#include "planner/rules/all_parameters.h"
#include "planner/rules/season_visit.h"
#include "planner/rules/season_words.h"

namespace rickyard {
namespace {

const std::set<std::string_view> kStatus = {"seen", "memory", "practice", "derived", "judgement", "placeholder", "given"};

// Columns that the reader puts together itself.
bool is_special(std::string_view table, std::string_view name) {
  if (table == "contracts") return name.starts_with("delivery_") || name == "call_off";
  if (table == "backups") return name == "months";
  return table == "demand" && (name == "spirit_lpa" || name == "malt_t" || name == "barley_t");
}

template <class Row>
void check_table(std::string_view table, const std::vector<Row>&) {
  std::vector<std::string> visited, listed;
  Row row;
  visit_fields(row, [&](std::string_view name, auto&) { visited.emplace_back(name); });
  for (const FieldSpec& field : fields_of(table))
    if (!is_special(table, field.name)) listed.emplace_back(field.name);
  CHECK_MESSAGE(visited == listed, table);
}

TEST_CASE("every column and key has a unit, a default, a status, a source and a meaning") {
  std::vector<std::string_view> tables(table_names().begin(), table_names().end());
  tables.push_back("season");
  std::size_t count = 0;
  for (const auto table : tables)
    for (const FieldSpec& field : fields_of(table)) {
      CAPTURE(table);
      CAPTURE(field.name);
      ++count;
      CHECK(field.table == table);
      CHECK_FALSE(field.unit.empty());
      CHECK_FALSE(field.fallback.empty());
      CHECK(kStatus.contains(field.status));
      CHECK_FALSE(field.source.empty());
      CHECK_FALSE(field.meaning.empty());
      CHECK(std::isnan(field.min) == std::isnan(field.max));
      if (field.required()) CHECK(field.status == "given");
    }
  CHECK(count > 200);
}

TEST_CASE("columns of the reference are the fields of the rows, in order") {
  const Season season{ParameterSet(all_parameters())};
  visit_tables(season, [](std::string_view table, const auto& rows) { check_table(table, rows); });
}

TEST_CASE("keys of the reference are the keys that are read") {
  Season season{ParameterSet(all_parameters())};
  std::set<std::string> read, listed;
  visit_keys(season, [&](std::string_view name, auto&) { read.emplace(name); });
  const auto below = [&](const std::string& prefix, auto row) {
    visit_fields(row, [&](std::string_view name, auto&) { read.insert(prefix + std::string(name)); });
  };
  below("rasters.*.", RasterSource{});
  below("soil.", UniformSoil{});
  below("share_limit.", ShareLimit{});
  below("case.", SeasonPatch{});
  for (const auto table : table_names()) read.insert("tables." + std::string(table));
  read.insert({"closing.*", "parameters.*"});
  for (const FieldSpec& field : fields_of("season")) listed.emplace(field.name);
  CHECK(read == listed);
}

TEST_CASE("defaults that are numbers lie inside their bounds, and words are among the choices") {
  for (const auto table : table_names())
    for (const FieldSpec& field : fields_of(table)) {
      CAPTURE(field.name);
      double value = 0;
      const auto [end, error] = std::from_chars(field.fallback.data(), field.fallback.data() + field.fallback.size(), value);
      if (error == std::errc() && end == field.fallback.data() + field.fallback.size() && !std::isnan(field.min))
        CHECK((value >= field.min && value <= field.max));
      if (field.fallback.starts_with("parameter ")) {
        const auto rest = field.fallback.substr(10);
        const auto name = rest.substr(0, rest.find(' '));
        const auto& all = all_parameters();
        CHECK(std::any_of(all.begin(), all.end(), [&](const ParameterSpec& p) { return p.name == name; }));
      }
    }
}

TEST_CASE("a raster key is found under any raster, a wrong one is not") {
  CHECK(find_field("season", "rasters.rain.unit") != nullptr);
  CHECK(find_field("season", "rasters.rain.units") == nullptr);
  CHECK(find_field("season", "closing.any") != nullptr);
  CHECK(find_field("contracts", "yield_t_ha") != nullptr);
  CHECK(find_field("nothing", "yield_t_ha") == nullptr);
  CHECK(number_fallback("contracts", "harvested_share") == 0.97);
}

TEST_CASE("the nearest name is near") {
  const std::vector<std::string_view> names = {"yield_t_ha", "planted_ha", "form"};
  CHECK(nearest_name("yeild_t_ha", names) == "yield_t_ha");
  CHECK(nearest_name("YIELD_T_HA", names) == "yield_t_ha");
  CHECK(nearest_name("from", names) == "form");
  CHECK(nearest_name("moisture", names) == "");
  CHECK(nearest_name("", names) == "");
}

TEST_CASE("words go both ways") {
  for (const auto& word : words_of<PriceForm>()) CHECK(value_of_word<PriceForm>(word.text) == word.value);
  CHECK(word_of(LimitPolicy::after_harvest) == "after_harvest");
  CHECK_FALSE(value_of_word<ContractForm>("Area"));
}

TEST_CASE("no parameter is there twice") {
  std::set<std::string_view> names;
  for (const auto& parameter : all_parameters()) CHECK_MESSAGE(names.insert(parameter.name).second, parameter.name);
}

}  // namespace
}  // namespace rickyard
