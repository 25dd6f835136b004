// A season read from CSV files and from sheets of a book.
#include "io/season_reader.h"

#include <doctest/doctest.h>

#include "tests/io/season_books.h"

namespace rickyard {
namespace {

using namespace season_tests;
namespace fs = std::filesystem;

const fs::path kSeason = fs::path(RICKYARD_SOURCE_DIR) / "tests/io/season";

std::string all_of(const std::vector<Problem>& problems) {
  std::string text;
  for (const auto& problem : problems) text += to_text(problem) + "\n";
  return text;
}

TEST_CASE("a full season is read without a problem") {
  const SeasonReading reading = read_season(kSeason / "season.toml");
  CHECK(all_of(reading.problems) == "");
  REQUIRE(reading.season);
}

}  // namespace
}  // namespace rickyard
