#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <string>

#include "reports/audit_tables.h"
#include "reports/tables.h"
#include "tests/reports/sample_run.h"

using namespace rickyard;

namespace {

const Table& named(const std::vector<Table>& tables, const std::string& name) {
  const auto at = std::find_if(tables.begin(), tables.end(), [&](const Table& t) { return t.name == name; });
  REQUIRE_MESSAGE(at != tables.end(), name);
  return *at;
}

const Cell& cell(const Table& table, std::size_t row, const std::string& column) {
  const auto at = std::find(table.columns.begin(), table.columns.end(), column);
  REQUIRE_MESSAGE(at != table.columns.end(), column);
  REQUIRE(row < table.rows.size());
  return table.rows[row][static_cast<std::size_t>(at - table.columns.begin())];
}

double number(const Table& table, std::size_t row, const std::string& column) { return std::get<double>(cell(table, row, column)); }

std::vector<Table> audit(const SampleRun& run) { return audit_tables(run.season, run.need, run.supply, run.sourcing, &run.forecast); }

}  // namespace

TEST_CASE("tables show what the document says, even where its sums are wrong") {
  auto document = sample_run().document();
  document.supply.qualifying_t = {111, 222, 333, 444};  // not the sum of the regions
  document.cover.unmet_t.mean = 777;                    // not the sum of the months
  document.cost.total.p90 = 8.5;                        // less than its parts
  document.regions[0].rejected_t.mean = 1e6;            // more than was offered
  document.months[0].blend[0].share.mean = 3;           // more than all
  document.stock[0].closing_t.mean = -5;                // does not follow from the row
  const auto tables = plan_tables(document);
  const auto& summary = named(tables, "summary");
  const auto row_of = [&](const std::string& figure) {
    for (std::size_t r = 0; r < summary.rows.size(); ++r)
      if (std::get<std::string>(summary.rows[r][0]) == figure) return r;
    return summary.rows.size();
  };
  CHECK(number(summary, row_of("qualifying grain of all contracts"), "mean") == 111);
  CHECK(number(summary, row_of("qualifying grain of all contracts"), "p90") == 444);
  CHECK(number(summary, row_of("unmet need"), "mean") == 777);
  CHECK(number(summary, row_of("cost"), "p90") == 8.5);
  CHECK(number(named(tables, "cost_ranges"), 0, "amount_p90") == 8.5);
  CHECK(number(named(tables, "regions"), 0, "rejected_t_mean") == 1e6);
  CHECK(number(named(tables, "blend_by_month"), 0, "share_mean") == 3);
  CHECK(number(named(tables, "stock_ranges"), 0, "closing_t_mean") == -5);
}

TEST_CASE("every table has a header, the same columns in every row, a name of its own that a sheet can have") {
  const auto run = sample_run();
  auto tables = plan_tables(run.document());
  for (auto& table : audit(run)) tables.push_back(table);
  std::set<std::string> names;
  for (const auto& table : tables) {
    CAPTURE(table.name);
    CHECK(names.insert(table.name).second);
    CHECK(table.name.size() <= 31);
    CHECK(table.columns.size() >= 2);
    CHECK(table.decimals.size() == table.columns.size());
    CHECK(std::set<std::string>(table.columns.begin(), table.columns.end()).size() == table.columns.size());
    for (const auto& row : table.rows) CHECK(row.size() == table.columns.size());
  }
  for (const char* name : {"regions", "blend_by_month", "allocation", "region_years", "causes", "scenarios", "flows", "stock", "costs"})
    CHECK(names.contains(name));
}

TEST_CASE("a plan with nothing in it still gives every header") {
  PlanDocument empty;
  const auto full = plan_tables(sample_run().document()), bare = plan_tables(empty);
  REQUIRE(full.size() == bare.size());
  for (std::size_t t = 0; t < full.size(); ++t) {
    CAPTURE(full[t].name);
    CHECK(bare[t].name == full[t].name);
    CHECK(bare[t].columns == full[t].columns);
    CHECK(bare[t].decimals == full[t].decimals);
  }
  CHECK(named(bare, "regions").rows.empty());
  SampleRun run = sample_run();
  const auto columns = named(audit(run), "flows").columns;
  run.sourcing.flows.clear();
  CHECK(named(audit(run), "flows").columns == columns);
  CHECK(named(audit(run), "flows").rows.empty());
}

TEST_CASE("what is undefined is an empty cell") {
  const auto tables = plan_tables(sample_run().document());
  const auto& regions = named(tables, "regions");
  std::size_t bog = regions.rows.size();
  for (std::size_t r = 0; r < regions.rows.size(); ++r)
    if (std::get<std::string>(cell(regions, r, "region")) == "bog") bog = r;
  CHECK(std::holds_alternative<std::monostate>(cell(regions, bog, "n_accepted_pct_mean")));  // nothing qualifies there
  CHECK(std::holds_alternative<std::monostate>(cell(regions, bog, "harvested_p50")));        // most years are never cut
  CHECK(std::holds_alternative<Date>(cell(regions, bog, "sown_p50")));
}

TEST_CASE("causes: the mean of a region, then its years, from attainable to qualifying") {
  const auto document = sample_run().document();
  const auto& region = document.regions[0];
  const auto tables = plan_tables(document);
  const auto& causes = named(tables, "causes");
  CHECK(causes.rows.size() == document.regions.size() * (1 + document.years.size()) * 12);
  CHECK(std::holds_alternative<std::monostate>(cell(causes, 0, "year")));
  CHECK(std::get<std::string>(cell(causes, 0, "cause")) == "attainable");
  CHECK(number(causes, 0, "t") == region.causes.attainable);
  CHECK(std::get<long long>(cell(causes, 12 + 2, "year")) == 2001);
  CHECK(std::get<std::string>(cell(causes, 12 + 2, "cause")) == "water");
  CHECK(number(causes, 12 + 2, "t") == region.by_year[0].causes.water);
  CHECK(std::get<std::string>(cell(causes, 23, "cause")) == "qualifying");
  CHECK(number(causes, 23, "t") == doctest::Approx(region.by_year[0].qualifying_t));
}

TEST_CASE("the table of regions and years has its dates") {
  const auto document = sample_run().document();
  const auto tables = plan_tables(document);
  const auto& years = named(tables, "region_years");
  CHECK(years.rows.size() == document.regions.size() * document.years.size());
  CHECK(std::get<std::string>(cell(years, 0, "region")) == document.regions[0].region);
  CHECK(std::get<long long>(cell(years, 1, "year")) == 2002);
  CHECK(std::get<Date>(cell(years, 1, "sown")) == *document.regions[0].by_year[1].sown);
  CHECK(std::get<Date>(cell(years, 1, "harvested")) == *document.regions[0].by_year[1].harvested);
}

TEST_CASE("audit tables number scenarios alike: the position among all supply scenarios") {
  const auto run = sample_run();
  const auto tables = audit(run);
  const auto& scenarios = named(tables, "scenarios");
  CHECK(scenarios.rows.size() == run.supply.scenarios.size() * run.season.contracts.size());
  const auto& flow = run.sourcing.flows.back();
  const auto& flows = named(tables, "flows");
  const auto scenario = std::get<long long>(cell(flows, flows.rows.size() - 1, "scenario"));
  CHECK(scenario == run.sourcing.scenario_of[static_cast<std::size_t>(flow.scenario)]);
  CHECK(scenario != flow.scenario);  // the sample's programme uses two of four draws a year
  for (const char* name : {"needs", "flows", "stock", "unmet", "purchases", "accounts", "costs", "backup_scenarios"}) {
    const auto& table = named(tables, name);
    CAPTURE(name);
    CHECK_FALSE(table.rows.empty());
    for (std::size_t r = 0; r < table.rows.size(); ++r) {
      const auto s = static_cast<std::size_t>(std::get<long long>(cell(table, r, "scenario")));
      REQUIRE(s < run.supply.scenarios.size());
      CHECK(run.supply.scenarios[s].in_programme);
    }
  }
}

TEST_CASE("a season without contracts keeps the weights of its scenarios") {
  auto run = sample_run();
  run.season.contracts.clear();
  run.sourcing.accounts.clear();
  run.forecast.contracts.clear();
  for (auto& scenario : run.supply.scenarios) scenario.contracts.clear();
  const auto tables = audit(run);
  const auto& scenarios = named(tables, "scenarios");
  REQUIRE(scenarios.rows.size() == run.supply.scenarios.size());
  CHECK(number(scenarios, 0, "weight") == run.supply.scenarios[0].weight);
  CHECK(std::holds_alternative<std::monostate>(cell(scenarios, 0, "contract")));
  CHECK(scenarios.rows[0].size() == scenarios.columns.size());
}
