// The program run as a user runs it: same seed, same bytes.
#include <doctest/doctest.h>

#include <map>
#include <string>

#include "tests/demo/made_folder.h"

namespace {

std::map<std::string, std::string> made(const std::string& name, const std::string& options) {
  return rickyard::demo::made_folder(name, "", "--years 2 " + options);
}

}  // namespace

TEST_CASE("two runs give the same files with the same bytes, another seed gives others") {
  const auto first = made("first", ""), second = made("second", ""), other = made("other", "--seed 8");
  REQUIRE(first.size() > 20);
  REQUIRE(first.contains("weather/rain_2026.tif"));
  REQUIRE(first.contains("regions.gpkg"));
  REQUIRE(first.contains("season.toml"));
  REQUIRE(second.size() == first.size());
  for (const auto& [name, bytes] : first) {
    CAPTURE(name);
    REQUIRE(second.contains(name));
    CHECK(second.at(name) == bytes);
  }
  CHECK(other.at("weather/rain_2026.tif") != first.at("weather/rain_2026.tif"));
  CHECK(other.at("regions.gpkg") != first.at("regions.gpkg"));
}

TEST_CASE("a wrong call is refused") {
  CHECK(std::system("\"" RICKYARD_DEMO_PROGRAM "\" --yeers 2 2> /dev/null") != 0);
  CHECK(std::system("\"" RICKYARD_DEMO_PROGRAM "\" /dev/null/x --years 1 2> /dev/null") != 0);
}
