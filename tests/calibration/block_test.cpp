// What a reader of the plan sees of calibration: the block and its schema, the assumptions, the methods text; and what check says of
// history.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "io/plan_json.h"
#include "planner/calibration/parameters.h"
#include "planner/document/build_document.h"
#include "planner/rules/season_rules.h"
#include "tests/calibration/deliveries_maker.h"

namespace rickyard {
namespace {

using nlohmann::json;
using testing::delivery;
using testing::delivery_season;
using testing::steady_forecast;

Calibration eight_seasons() {
  Season season = delivery_season(2);
  for (int year = 2019; year < 2027; ++year)
    for (const char* region : {"r0", "r1"}) {
      HistoryRow row = delivery(region, year, 100, 560 + 5 * (year % 3));
      row.n_pct = 1.53;
      season.history.push_back(row);
    }
  return calibrate(season, steady_forecast(season, 1997, 30));
}

PlanDocument small_document() {
  PlanDocument document;
  document.season.as_of = document.horizon.intake_closed = Date(2027, 3, 1);
  document.horizon.first_month = document.horizon.last_month = Month{2027, 4};
  return document;
}

std::string text_of(const std::string& path) {
  std::ifstream file(std::string(RICKYARD_SOURCE_DIR) + path);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

bool says(const Season& season, Severity severity, const std::string& field, const std::string& words) {
  for (const auto& one : check_season(season))
    if (one.severity == severity && one.where.table == "history" && one.where.field == field &&
        one.message.find(words) != std::string::npos)
      return true;
  return false;
}

}  // namespace

TEST_CASE("the block in plan.json has the entries in order, and exactly the keys of the schema") {
  const Calibration calibration = eight_seasons();
  PlanDocument document = small_document();
  CHECK_FALSE(json::parse(plan_json(document)).contains("calibration"));  // not run: absent
  document.calibration = calibration_block(calibration);
  const json block = json::parse(plan_json(document)).at("calibration");
  REQUIRE(block.size() == calibration.entries.size());
  const json item = json::parse(text_of("/io/plan_schema.json")).at("properties").at("calibration").at("items");
  CHECK(item.at("additionalProperties") == false);
  for (std::size_t i = 0; i < block.size(); ++i) {
    CHECK(block[i].at("name") == calibration.entries[i].name);
    CHECK(block[i].at("calibrated").get<double>() == doctest::Approx(calibration.entries[i].calibrated).epsilon(1e-6));
    CHECK(block[i].size() == item.at("required").size());
    for (const auto& key : item.at("required")) CHECK(block[i].contains(key.get<std::string>()));
  }
  CHECK(block[0].at("name") == "yield, r0-area");
  CHECK(block[0].at("user") == 6);
  CHECK(block[0].at("seasons") == 8);
  document.calibration->front().moved_by = std::nan("");
  CHECK_THROWS(plan_json(document));
  document.calibration->clear();
  CHECK(json::parse(plan_json(document)).at("calibration").empty());  // run, but no delivery was used
}

TEST_CASE("among the assumptions a calibrated parameter says what it was, and one line counts the rest") {
  const Calibration calibration = eight_seasons();
  std::vector<PlanDocument::Assumption> all = {{"residual_scale_yield", "0.5", "1", "judgement", "1 without a history"},
                                               {"residual_scale_n", "0.7", "1", "yours", "season.toml; default 1"},
                                               {"yield_cv", "0.1", "1", "derived", "national series"}};
  mention_calibration(calibration, all);
  REQUIRE(all.size() == 4);
  CHECK(all[0].status == "derived");
  CHECK(all[0].source == "past deliveries; default 1");
  CHECK(all[1].source == "past deliveries; yours 1");
  CHECK(all[2].source == "national series");
  CHECK(all[3].name == "calibration");
  // Two yields, two nitrogens, two common biases, the trend.
  CHECK(all[3].value == "7 figures");
  all.clear();
  mention_calibration(Calibration{{}, {}, false, delivery_season(1)}, all);
  CHECK(all[0].value == "none");
}

TEST_CASE("every parameter of calibration stands in the methods text with its default and unit") {
  const std::string methods = text_of("/planner/METHODS.md");
  REQUIRE(methods.find("## Calibration\n") != std::string::npos);
  for (const auto& spec : calibration_parameters()) {
    const std::string row = fmt::format("| `{}` | {} | {} | {} to {} | {} | {} | {} |\n", spec.name, spec.fallback, spec.unit, spec.min,
                                        spec.max, spec.status, spec.source, spec.meaning);
    CHECK_MESSAGE(methods.find(row) != std::string::npos, row);
  }
}

TEST_CASE("check names the history that calibration must leave out") {
  Season season = delivery_season(1);
  season.as_of = Date(2027, 3, 1);
  season.varieties.resize(1);
  season.varieties[0].variety = "old";
  HistoryRow row = delivery("r0", 2025, 100, 600);
  season.history = {row};
  season.history[0].variety = "odl";
  CHECK(says(season, Severity::error, "variety", "not in the varieties table"));
  season.history[0] = row;
  season.history[0].variety = "old";
  CHECK_FALSE(says(season, Severity::error, "variety", ""));
  CHECK_FALSE(says(season, Severity::warning, "delivered_t", ""));
  season.history[0].grower = "a";
  season.history[0].delivered_t.reset();
  CHECK(says(season, Severity::warning, "delivered_t", "cannot be averaged"));
  season.history[0] = row;
  season.history[0].delivered_t = 0;
  CHECK(says(season, Severity::warning, "delivered_t", "without any delivery"));
}

}  // namespace rickyard
