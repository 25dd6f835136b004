// Files that are damaged, hostile or not what they seem: an answer, never a crash.
#include <doctest/doctest.h>

#include <algorithm>
#include <random>

#include "io/season_reader.h"
#include "io/utf8.h"
#include "planner/rules/season_fields.h"
#include "tests/io/season_books.h"

namespace rickyard {
namespace {

using namespace season_tests;
namespace fs = std::filesystem;

const fs::path kSeason = fs::path(RICKYARD_SOURCE_DIR) / "tests/io/season";

void copy_season(const fs::path& to) {
  for (const auto& entry : fs::directory_iterator(kSeason))
    fs::copy_file(entry.path(), to / entry.path().filename(), fs::copy_options::overwrite_existing);
}

std::string problems_of(const fs::path& season_toml) {
  const SeasonReading reading = read_season(season_toml);
  REQUIRE(reading.season.has_value() == !has_error(reading.problems));
  std::string text;
  for (const auto& problem : reading.problems) text += to_text(problem) + "\n";
  return text;
}

// One to five bytes replaced, inserted, removed, or a piece repeated.
std::string mutated(std::string text, std::mt19937& engine) {
  const auto below = [&](std::size_t n) { return static_cast<std::size_t>(engine() % std::max<std::size_t>(n, 1)); };
  static const std::string kNasty = std::string("\"\n\r,;=[]{}#.-+eE\\'\t\0\xff\xc3", 21);
  for (std::size_t edits = 1 + below(5); edits > 0; --edits) {
    const std::size_t at = below(text.size());
    switch (below(4)) {
      case 0:
        if (!text.empty()) text[at] = static_cast<char>(below(256));
        break;
      case 1:
        text.insert(at, 1, kNasty[below(kNasty.size())]);
        break;
      case 2:
        text.erase(at, 1 + below(8));
        break;
      default:
        text.insert(at, text.substr(at, below(40)));
        break;
    }
  }
  return text;
}

TEST_CASE("300 seeded mutations of a season's bytes end in an answer") {
  const TemporaryFolder folder("mutations");
  copy_season(folder.path());
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(kSeason)) files.push_back(entry.path().filename());
  std::sort(files.begin(), files.end());
  std::mt19937 engine(20270215);
  int refused = 0;
  for (int n = 0; n < 300; ++n) {
    // season.toml twice as often as each table.
    const fs::path file = n % 6 == 0 ? fs::path("season.toml") : files[engine() % files.size()];
    const std::string whole = text_of(kSeason / file);
    write_text(folder.path() / file, mutated(whole, engine));
    CAPTURE(n);
    const SeasonReading reading = read_season(folder.path() / "season.toml");
    CHECK(reading.season.has_value() == !has_error(reading.problems));
    for (const auto& problem : reading.problems) {
      CHECK(first_invalid_utf8(to_text(problem)) == std::string::npos);
      CHECK(to_text(problem).find('\n') == std::string::npos);
    }
    refused += reading.season ? 0 : 1;
    write_text(folder.path() / file, whole);
  }
  CHECK(refused > 100);
  CHECK(refused < 300);
}

TEST_CASE("40 seeded mutations of a book end in an answer") {
  const TemporaryFolder folder("book-mutations");
  copy_season(folder.path());
  write_book(kSeason, {"contracts.csv"}, folder.path() / "book.xlsx", "XLSX", BookCells::typed);
  write_text(folder.path() / "season.toml", replaced(text_of(kSeason / "season.toml"), "\"contracts.csv\"", "\"book.xlsx\""));
  const std::string whole = text_of(folder.path() / "book.xlsx");
  // The name of the table is the name of the sheet where none is given.
  CHECK(problems_of(folder.path() / "season.toml") == "");
  std::mt19937 engine(7);
  for (int n = 0; n < 40; ++n) {
    write_text(folder.path() / "book.xlsx", mutated(whole, engine));
    CAPTURE(n);
    const SeasonReading reading = read_season(folder.path() / "season.toml");
    CHECK(reading.season.has_value() == !has_error(reading.problems));
  }
}

TEST_CASE("a book that is none, a sheet that is not there") {
  const TemporaryFolder folder("no-book");
  copy_season(folder.path());
  const std::string keys = text_of(kSeason / "season.toml");
  write_text(folder.path() / "book.xlsx", "not a book");
  write_text(folder.path() / "season.toml", replaced(keys, "\"stock.csv\"", "\"book.xlsx\""));
  CHECK(problems_of(folder.path() / "season.toml") ==
        "error: book.xlsx[stock]: the book cannot be opened as XLSX or ODS; save it again as .xlsx or .ods, or as CSV\n");
  fs::remove(folder.path() / "book.xlsx");
  write_book(kSeason, {"stores.csv", "outlets.csv"}, folder.path() / "book.xlsx", "XLSX", BookCells::typed);
  CHECK(problems_of(folder.path() / "season.toml") ==
        "error: season.toml:21:1 (tables.stock): \"stock\": the book has no such sheet; its sheets are: stores, outlets\n");
}

TEST_CASE("a season.toml that is missing, a folder or endless") {
  const TemporaryFolder folder("no-season");
  CHECK(problems_of(folder.path() / "season.toml") ==
        "error: season.toml: the file does not exist; check the name; paths are relative to season.toml\n");
  fs::create_directory(folder.path() / "season.toml");
  CHECK(problems_of(folder.path() / "season.toml") == "error: season.toml: this is not a file; name a file, not a folder or device\n");
  copy_season((fs::create_directories(folder.path() / "s"), folder.path() / "s"));
  write_text(folder.path() / "s/season.toml", replaced(text_of(kSeason / "season.toml"), "\"stock.csv\"", "\"/dev/zero\""));
  CHECK(problems_of(folder.path() / "s/season.toml") ==
        "error: season.toml:21:1 (tables.stock): this is not a file; name a file, not a folder or device\n");
}

TEST_CASE("UTF-8 is checked as RFC 3629 says") {
  // Well-formed byte sequences of the standard's table, and their neighbours outside it.
  CHECK(utf8_length("a") == 1);
  CHECK(utf8_length("\xC2\x80") == 2);
  CHECK(utf8_length("\xE0\xA0\x80") == 3);
  CHECK(utf8_length("\xED\x9F\xBF") == 3);
  CHECK(utf8_length("\xF4\x8F\xBF\xBF") == 4);
  for (const char* bad : {"\x80", "\xC1\x80", "\xE0\x9F\x80", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xC2", "\xC2\x41"})
    CHECK(utf8_length(bad) == 0);
  CHECK(first_invalid_utf8("abc\xFF") == 3);
}

}  // namespace
}  // namespace rickyard
