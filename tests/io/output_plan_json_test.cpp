#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <limits>
#include <string>

#include "io/plan_json.h"
#include "io/plan_schema.h"
#include "io/run_folder_files.h"
#include "tests/reports/sample_run.h"

using namespace rickyard;
namespace fs = std::filesystem;

namespace {

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

fs::path fresh_folder(const char* name) {
  const fs::path folder = fs::path(RICKYARD_BINARY_DIR) / "output-tests" / name;
  fs::remove_all(folder);
  fs::create_directories(folder);
  return folder;
}

}  // namespace

TEST_CASE("real plan documents follow the schema, and the schema refuses every small change") {
  const auto folder = fresh_folder("schema");
  const auto daily = sample_run().document();
  const auto run = sample_run();
  const auto answers = sample_answers(run);
  write_file(folder / "schema.json", plan_schema());
  write_file(folder / "contract.json", plan_json(run.document_with(&answers)));
  write_file(folder / "daily.json", plan_json(daily));
  write_file(folder / "formulas.json", plan_json(sample_run(ForecastModel::formulas).document()));
  const std::string script = RICKYARD_SOURCE_DIR "/tests/io/output_schema.py";
  const std::string command = "/usr/bin/python3 -W ignore " + script + " " + (folder / "schema.json").string() + " ";
  for (const char* most : {"contract.json", "daily.json"})
    CHECK(std::system((command + (folder / most).string() + " " + (folder / "formulas.json").string()).c_str()) == 0);
}

TEST_CASE("the sample has what the schema test needs: undefined ranges, missing dates, a map, unmet months") {
  const std::string daily = plan_json(sample_run().document());
  CHECK(holds(daily, "\"mean\": null"));
  CHECK(holds(daily, "\"p90\": null"));
  CHECK(holds(daily, "\"harvested\": null"));
  CHECK(holds(daily, "\"map\": {\n    \"crs\": \"EPSG:4326\""));
  CHECK(holds(daily, "\"geometry\": null"));
  CHECK(holds(daily, "\"2027-08\""));
  const std::string formulas = plan_json(sample_run(ForecastModel::formulas).document());
  CHECK_FALSE(holds(formulas, "\"map\""));
  CHECK(holds(formulas, "\"rain_mm\": null"));
}

TEST_CASE("keys keep the order of the design and the text ends with a newline") {
  const std::string json = plan_json(sample_run().document());
  CHECK(
      json.starts_with("{\n  \"rickyard\": {\n    \"version\": \"0.1.0\",\n    \"schema\": \"1\"\n  },\n  \"season\": {\n    "
                       "\"crop_year\": 2027,\n    \"as_of\": \"2027-03-01\",\n    \"case\": \"base\","));
  CHECK(json.ends_with("]\n}\n"));
  std::size_t at = 0;
  for (const char* key :
       {"rickyard",  "season", "horizon", "years", "regions", "contracts",  "supply",   "need",     "cover",       "decisions",
        "purchases", "months", "stock",   "cost",  "map",     "limit_used", "warnings", "cautions", "assumptions", "inputs"}) {
    const auto found = json.find(std::string("\n  \"") + key + "\": ", at);
    CAPTURE(key);
    REQUIRE(found != std::string::npos);
    at = found;
  }
}

TEST_CASE("numbers: 1e-6 for figures, 1e-9 for fractions, no minus zero, shortest text") {
  auto document = sample_run().document();
  document.cover.unmet_t = {1.0 / 3, -4e-7, -0.0, 123456789.123456789};
  document.cover.chance_covered = 1.0 / 3;
  document.cost.total = {0.1 + 0.2, -1234.5678915, 1e-6, 0};
  document.season.limit_n_pct = 1.65;
  const std::string json = plan_json(document);
  CHECK(holds(
      json, "\"unmet_t\": {\n      \"mean\": 0.333333,\n      \"p10\": 0.0,\n      \"p50\": 0.0,\n      \"p90\": 123456789.123457\n    }"));
  CHECK(holds(json, "\"chance_covered\": 0.333333333"));
  CHECK(holds(json, "\"total\": {\n      \"mean\": 0.3,\n      \"p10\": -1234.567892,\n      \"p50\": 1e-06,\n      \"p90\": 0.0\n    }"));
  CHECK(holds(json, "\"limit_n_pct\": 1.65"));
  CHECK_FALSE(holds(json, "-0.0,"));
  CHECK_FALSE(holds(json, "-0.0\n"));
}

TEST_CASE("a number that is not finite is our mistake, and its place is named") {
  const auto message = [](PlanDocument document) -> std::string {
    try {
      plan_json(document);
    } catch (const std::logic_error& error) {
      return error.what();
    }
    return "accepted";
  };
  const auto good = sample_run().document();
  auto bad = good;
  bad.regions[1].qualifying_t.p50 = std::nan("");
  CHECK(message(bad) == "plan document: regions[1].qualifying_t.p50 is not a finite number");
  bad = good;
  bad.months[2].unmet_by_year_t[3] = std::numeric_limits<double>::infinity();
  CHECK(message(bad) == "plan document: months[2].unmet_by_year_t[3] is not a finite number");
  bad = good;
  bad.regions[0].n_accepted_pct.p10 = std::nan("");  // a range is undefined as a whole or not at all
  CHECK(message(bad) == "plan document: regions[0].n_accepted_pct.p10 is not a finite number");
  bad = good;
  bad.horizon.intake_closed = Date(boost::date_time::not_a_date_time);
  CHECK(message(bad) == "plan document: horizon.intake_closed is not a date");
  bad = good;
  bad.map->regions[0].outline_geojson = "{\"type\":";
  CHECK(message(bad) == "plan document: map.regions[0].geometry is not a GeoJSON geometry");
  CHECK(message(good) == "accepted");
}

TEST_CASE("text is carried as it is, and what is not UTF-8 does not stop the plan") {
  auto document = sample_run().document();
  document.warnings = {"quote \" backslash \\ tab \t </script> \xC3\xA9", "broken \xFF byte"};
  const std::string json = plan_json(document);
  CHECK(holds(json, R"("quote \" backslash \\ tab \t </script> é")"));
  CHECK(holds(json, "\"broken \xEF\xBF\xBD byte\""));
}

TEST_CASE("outlines are real JSON, rounded to 1e-6 degree") {
  const std::string json = plan_json(sample_run().document());
  CHECK(holds(json, "57.6\n"));
  CHECK_FALSE(holds(json, "57.6000000001"));
  CHECK_FALSE(holds(json, "1e-10"));
}

TEST_CASE("the same document gives the same bytes") { CHECK(plan_json(sample_run().document()) == plan_json(sample_run().document())); }
