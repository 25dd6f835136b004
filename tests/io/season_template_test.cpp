// The templates of `new` and the reference that goes with them.
#include "io/season_template.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <sstream>

#include "io/season_reader.h"
#include "planner/base/problem.h"
#include "planner/rules/all_parameters.h"
#include "planner/rules/season_fields.h"
#include "tests/io/season_books.h"

namespace rickyard {
namespace {

using namespace season_tests;
namespace fs = std::filesystem;

std::string problems_of(const SeasonReading& reading) {
  std::string text;
  for (const auto& problem : reading.problems) text += to_text(problem) + "\n";
  return text;
}

// What a user states under [risk]: the one key without a default.
void state_unmet_price(const fs::path& season) {
  const std::string text = text_of(season), open = "#: unmet_price = ...";
  REQUIRE(text.find(open) != std::string::npos);
  write_text(season, text.substr(0, text.find(open)) + "unmet_price = 700" + text.substr(text.find(open) + open.size()));
}

TEST_CASE("a template asks for rows, the price of a shortage and nothing else") {
  const TemporaryFolder folder("template-empty");
  write_season_template(folder.path() / "new");
  const SeasonReading reading = read_season(folder.path() / "new" / "season.toml");
  // Three tables without rows, and the price of a shortage, which has no default.
  CHECK(reading.problems.size() == 4);
  int tables = 0, prices = 0;
  for (const auto& problem : reading.problems) {
    tables += problem.message == "the table has no rows" ? 1 : 0;
    prices += problem.place.find("risk.unmet_price") != std::string::npos ? 1 : 0;
  }
  CHECK(tables == 3);
  CHECK(prices == 1);
}

TEST_CASE("a template with one row in each table is a season") {
  const TemporaryFolder folder("template-filled");
  write_season_template(folder.path());
  for (const auto& [file, row] :
       {std::pair{"contracts.csv", "north,area,500,6.0\n"}, {"backups.csv", "merchant,Home,600,238\n"}, {"demand.csv", "house,,1400000\n"}})
    write_text(folder.path() / file, text_of(folder.path() / file) + row);
  state_unmet_price(folder.path() / "season.toml");
  const SeasonReading reading = read_season(folder.path() / "season.toml");
  CHECK(problems_of(reading) == "");
  REQUIRE(reading.season);
  CHECK(reading.season->model == ForecastModel::formulas);
  CHECK(reading.season->spec.floor_n_pct == 1.20);  // design, section 3: 1.20 in templates
}

TEST_CASE("commented defaults are the defaults") {
  const TemporaryFolder folder("template-uncommented");
  write_season_template(folder.path());
  for (const auto& [file, row] :
       {std::pair{"contracts.csv", "north,area,500,6.0\n"}, {"backups.csv", "merchant,Home,600,238\n"}, {"demand.csv", "house,,1400000\n"}})
    write_text(folder.path() / file, text_of(folder.path() / file) + row);
  state_unmet_price(folder.path() / "season.toml");
  const Season before = *read_season(folder.path() / "season.toml").season;
  std::istringstream lines(text_of(folder.path() / "season.toml"));
  std::string text, section;
  int uncommented = 0;
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with("#: [") || line.starts_with("[")) section = line;
    const bool plain = !section.starts_with("#: [") && line.starts_with("#: ") && line.find("...") == std::string::npos &&
                       line.find(".csv") == std::string::npos;
    uncommented += plain ? 1 : 0;
    text += (plain ? line.substr(3) : line) + "\n";
  }
  CHECK(uncommented >= 8);
  write_text(folder.path() / "season.toml", text);
  const SeasonReading reading = read_season(folder.path() / "season.toml");
  CHECK(problems_of(reading) == "");
  REQUIRE(reading.season);
  Season after = *reading.season;
  after.defaults_used = before.defaults_used;
  CHECK(differences(before, after).empty());
}

TEST_CASE("nothing is overwritten, and nothing is written beside what is there") {
  const TemporaryFolder folder("template-there");
  write_text(folder.path() / "demand.csv", "mine");
  CHECK_THROWS_AS(write_season_template(folder.path()), OutputError);
  CHECK(text_of(folder.path() / "demand.csv") == "mine");
  CHECK_FALSE(fs::exists(folder.path() / "season.toml"));
  write_text(folder.path() / "file", "");
  CHECK_THROWS_AS(write_season_template(folder.path() / "file" / "below"), OutputError);
}

TEST_CASE("the reference holds every column, key and parameter") {
  const std::string text = columns_reference();
  const auto row_of = [&](std::string_view name) {
    const auto at = text.find("| `" + std::string(name) + "` |");
    return at == std::string::npos ? std::string() : text.substr(at, text.find('\n', at) - at);
  };
  for (const auto table : table_names())
    for (const FieldSpec& field : fields_of(table)) CHECK_MESSAGE(!row_of(field.name).empty(), field.name);
  for (const FieldSpec& field : fields_of("season")) CHECK_MESSAGE(!row_of(field.name).empty(), field.name);
  for (const ParameterSpec& parameter : all_parameters()) CHECK_MESSAGE(!row_of(parameter.name).empty(), parameter.name);
  // Nine bars a row, so that no cell breaks the table.
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    if (!line.starts_with("| `")) continue;
    int bars = 0;
    for (std::size_t i = 0; i < line.size(); ++i) bars += line[i] == '|' && (i == 0 || line[i - 1] != '\\') ? 1 : 0;
    CHECK_MESSAGE(bars == 8, line);
  }
}

TEST_CASE("METHODS.md lists the same columns and keys, line by line") {
  const std::string methods = text_of(fs::path(RICKYARD_SOURCE_DIR) / "planner/METHODS.md");
  const std::string reference = columns_reference();
  std::istringstream lines(reference.substr(0, reference.find("## Names under [parameters]")));
  int compared = 0;
  for (std::string line; std::getline(lines, line);) {
    if (!line.starts_with("| `")) continue;
    ++compared;
    CHECK_MESSAGE(methods.find(line + "\n") != std::string::npos, line);
  }
  CHECK(compared > 200);
}

}  // namespace
}  // namespace rickyard
