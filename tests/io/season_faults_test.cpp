// One folder per fault under tests/io/bad, named after it: its files replace those of bad/base, and the whole list of
// problems is compared with its expected.txt. Folders under `tables` are read twice: as CSV and as sheets of a book.
#include <doctest/doctest.h>

#include <algorithm>

#include "io/season_reader.h"
#include "planner/rules/season_fields.h"
#include "tests/io/season_books.h"

namespace rickyard {
namespace {

using namespace season_tests;
namespace fs = std::filesystem;

const fs::path kBad = fs::path(RICKYARD_SOURCE_DIR) / "tests/io/bad";

std::vector<fs::path> folders_of(const fs::path& group) {
  std::vector<fs::path> out;
  for (const auto& entry : fs::directory_iterator(group)) out.push_back(entry.path());
  std::sort(out.begin(), out.end());
  return out;
}

void copy_files(const fs::path& from, const fs::path& to) {
  for (const auto& entry : fs::directory_iterator(from))
    fs::copy_file(entry.path(), to / entry.path().filename(), fs::copy_options::overwrite_existing);
}

std::string problems_of(const fs::path& folder) {
  const SeasonReading reading = read_season(folder / "season.toml");
  std::string text;
  for (const auto& problem : reading.problems) text += to_text(problem) + "\n";
  CHECK(reading.season.has_value() == !has_error(reading.problems));
  return text;
}

void check_csv(const fs::path& fault) {
  CAPTURE(fault.filename());
  const TemporaryFolder folder("fault-csv");
  copy_files(kBad / "base", folder.path());
  copy_files(fault, folder.path());
  CHECK(problems_of(folder.path()) == text_of(fault / "expected.txt"));
}

// The tables of the fault as sheets; places then name the sheet, with the same rows and columns.
void check_book(const fs::path& fault) {
  CAPTURE(fault.filename());
  const TemporaryFolder csv("fault-sheets"), folder("fault-book");
  copy_files(kBad / "base", csv.path());
  copy_files(fault, csv.path());
  std::vector<std::string> files;
  std::string keys = text_of(csv.path() / "season.toml"), expected = text_of(fault / "expected.txt");
  for (const auto table : table_names()) {
    const std::string name(table);
    files.push_back(name + ".csv");
    keys = replaced(keys, "\"" + name + ".csv\"", "{ file = \"book.xlsx\", sheet = \"" + name + "\" }");
    if (expected.find(" " + name + ".csv:") != std::string::npos)
      expected = replaced(expected, " " + name + ".csv:", " book.xlsx[" + name + "]:");
  }
  write_book(csv.path(), files, folder.path() / "book.xlsx", "XLSX", BookCells::text);
  write_text(folder.path() / "season.toml", keys);
  CHECK(problems_of(folder.path()) == expected);
}

TEST_CASE("the folder behind the faults has none") {
  const TemporaryFolder folder("fault-none");
  copy_files(kBad / "base", folder.path());
  CHECK(problems_of(folder.path()) == "");
}

TEST_CASE("faults of tables, as CSV and as sheets") {
  const auto faults = folders_of(kBad / "tables");
  CHECK(faults.size() >= 60);
  for (const auto& fault : faults) {
    check_csv(fault);
    check_book(fault);
  }
}

TEST_CASE("faults that only CSV files can have") {
  const auto faults = folders_of(kBad / "csv_only");
  CHECK(faults.size() >= 12);
  for (const auto& fault : faults) check_csv(fault);
}

TEST_CASE("faults of season.toml") {
  const auto faults = folders_of(kBad / "keys");
  CHECK(faults.size() >= 40);
  for (const auto& fault : faults) check_csv(fault);
}

}  // namespace
}  // namespace rickyard
