// Defaults and value rules on seasons made in memory.
#include "planner/rules/season_rules.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <limits>

#include "planner/rules/all_parameters.h"
#include "planner/rules/season_defaults.h"

namespace rickyard {
namespace {

// One contract, one backup, one line: nothing wrong.
Season small_season() {
  Season season{ParameterSet(all_parameters())};
  season.crop_year = 2027;
  season.as_of = Date(2027, 2, 15);
  season.model = ForecastModel::formulas;
  season.plan_from = Month{2027, 11};
  season.risk.unmet_price = 540;
  ContractRow contract;
  contract.region = "north";
  contract.planted_ha = 500;
  contract.yield_t_ha = 6;
  season.contracts = {contract};
  BackupRow backup;
  backup.source = "merchant";
  backup.origin = "Home";
  backup.months_available.fill(true);
  backup.cap_t_month = 600;
  backup.price_per_t = 238;
  season.backups = {backup};
  DemandRow demand;
  demand.line = "house";
  demand.month = Month{2028, 3};
  demand.amount = 120000;
  season.demand = {demand};
  return season;
}

Season complete(Season season) {
  apply_defaults(season);
  return season;
}

std::string places(const Findings& findings) {
  std::string text;
  for (const auto& f : findings) text += f.where.table + "[" + std::to_string(f.where.row) + "]." + f.where.field + " ";
  return text;
}

TEST_CASE("the small season passes") { CHECK(places(check_season(complete(small_season()))) == ""); }

TEST_CASE("defaults fill every field that season.h calls default") {
  const Season season = complete(small_season());
  const ContractRow& c = season.contracts[0];
  CHECK(c.origin == "north");
  CHECK(c.contract == "north-area");
  for (const auto& value :
       {c.growers, c.min_ha, c.max_ha, c.harvested_share, c.tolerance_t, c.made_good, c.settled_share, c.headland_share, c.typical_n_pct,
        c.typical_screenings_pct, c.typical_other_failure_pct, c.n_rate_kg_ha, c.price, c.premium_per_t, c.haul_per_t, c.hold_per_t_month})
    CHECK(value.has_value());
  CHECK((c.sow_earliest && c.sow_planned && c.sow_latest && c.sign_by));
  CHECK(c.price == 200);  // placeholder feed base 180 + normal spread 20, trade-notes 3.4
  CHECK(c.headland_share == 0.12);
  const BackupRow& b = season.backups[0];
  for (const auto& value :
       {b.weather_link, b.cap_cv, b.accept_share, b.lot_t, b.min_take_t, b.lead_days, b.committed_t, b.committed_price, b.freight_per_t,
        b.price_slope, b.price_cap, b.option_fee_per_t, b.n_pct, b.n_sd, b.screenings_pct, b.moisture_pct})
    CHECK(value.has_value());
  CHECK(b.currency == "GBP");
  CHECK(season.plan_to == Month{2028, 3});
  CHECK(season.spec.limit_n_pct == 1.65);
  CHECK(season.spec.stop_n_pct == 1.65);
  CHECK_FALSE(season.spec.floor_n_pct);
  CHECK(season.risk.alpha == 0.9);
  CHECK(season.demand[0].silent_days == 0);
}

TEST_CASE("what was given stays") {
  Season season = small_season();
  season.contracts[0].made_good = 1;
  season.contracts[0].sow_latest = Date(2027, 3, 20);
  season.spec.stop_n_pct = 1.7;
  season = complete(season);
  CHECK(season.contracts[0].made_good == 1);
  CHECK(season.contracts[0].sow_planned == Date(2027, 3, 20));  // 31 March cut to the latest date
  CHECK(season.contracts[0].sow_earliest == Date(2027, 2, 27));
  CHECK(season.spec.stop_n_pct == 1.7);
}

TEST_CASE("declared hectares end the choice of an area row and leave the tonnes of a tonnage row due") {
  Season season = small_season();
  season.contracts.push_back(season.contracts[0]);
  season.contracts[0].min_ha = 300;
  season.contracts[0].max_ha = 900;
  season.contracts[0].declared_ha = 450;
  season.contracts[1].form = ContractForm::tonnage;
  season.contracts[1].contracted_t = 1200;
  season.contracts[1].planted_ha = 200;
  season.contracts[1].max_ha = 220;
  season.contracts[1].declared_ha = 210;
  season = complete(complete(season));
  const ContractRow &area = season.contracts[0], &tonnage = season.contracts[1];
  CHECK((area.planted_ha == 450 && area.min_ha == 450 && area.max_ha == 450));
  CHECK(area.contracted_ha == small_season().contracts[0].planted_ha);
  CHECK((tonnage.planted_ha == 210 && tonnage.max_ha == 220 && tonnage.contracted_t == 1200));
  REQUIRE(season.declared.size() == 2);
  CHECK(season.declared[0].what == "contracts.declared_ha, north-area");
  CHECK(season.declared[0].value.starts_with("450 ha in place of "));
  CHECK(season.declared[1].value == "210 ha in place of 200 ha");
  CHECK(places(check_season(season)) == "");
}

TEST_CASE("hectares declared far from those contracted are doubted, not changed") {
  Season season = small_season();
  season.contracts[0].declared_ha = 1.2 * *season.contracts[0].planted_ha;
  CHECK(places(check_season(complete(season))) == "");  // 20 % is not yet far
  season.contracts[0].declared_ha = 0.79 * *season.contracts[0].planted_ha;
  const Findings findings = check_season(complete(season));
  CHECK(places(findings) == "contracts[0].declared_ha ");
  CHECK(findings[0].severity == Severity::warning);
}

TEST_CASE("a row is sown inside its season, by as_of, before its harvest") {
  Season season = small_season();
  season.model = ForecastModel::daily;
  season.as_of = Date(2027, 8, 25);
  season.plan_from = Month{2027, 9};
  season.contracts[0].usual_harvest = Date(2027, 8, 20);
  const auto of = [&](Date sown) {
    season.contracts[0].sown = sown;
    std::string found;
    for (const auto& f : check_season(complete(season)))
      if (f.where.field == "sown") found += f.message + ";";
    return found;
  };
  CHECK(of(Date(2027, 4, 2)) == "");
  CHECK(of(Date(2026, 4, 2)).starts_with("the date is outside the season of crop year 2027"));
  CHECK(of(Date(2027, 8, 22)).starts_with("the row is said to be sown after its usual harvest"));
  CHECK(of(Date(2027, 8, 28)).starts_with("the row is said to be sown after as_of"));
  CHECK(of(Date(2027, 12, 1)).starts_with("the date is outside the season"));
}

TEST_CASE("filling twice fills nothing more") {
  const Season once = complete(small_season());
  const Season twice = complete(once);
  REQUIRE(once.defaults_used.size() == twice.defaults_used.size());
  for (std::size_t i = 0; i < once.defaults_used.size(); ++i) {
    CHECK(once.defaults_used[i].value == twice.defaults_used[i].value);
    if (once.defaults_used[i].name != "prices.feed_base") CHECK(once.defaults_used[i].rows == twice.defaults_used[i].rows);
  }
}

TEST_CASE("ids made by default do not repeat") {
  Season season = small_season();
  season.contracts.resize(4, season.contracts[0]);
  season.contracts[3].contract = "north-area-2";
  season = complete(season);
  CHECK(season.contracts[0].contract == "north-area");
  CHECK(season.contracts[1].contract == "north-area-3");
  CHECK(season.contracts[2].contract == "north-area-4");
  CHECK(places(check_season(season)) == "");
}

TEST_CASE("a year of demand and no plan_to: twelve months") {
  Season season = small_season();
  season.demand[0].month.reset();
  season = complete(season);
  CHECK(season.plan_to == Month{2028, 10});
  CHECK(season.demand[0].silent_days == 21);  // three weeks, trade-notes 3.1
}

TEST_CASE("south of the equator the season begins on 1 March and sowing follows it") {
  Season season = small_season();
  season.season_start = {3, 1};
  season.season_end = {4, 30};
  season = complete(season);
  CHECK(season.contracts[0].sow_planned == Date(2026, 9, 28));  // 211 days after 1 March 2026
  CHECK(places(check_season(season)) == "");
}

TEST_CASE("numbers that are not finite are found wherever they come from") {
  Season season = complete(small_season());
  season.contracts[0].haul_per_t = std::numeric_limits<double>::quiet_NaN();
  season.demand[0].amount = std::numeric_limits<double>::infinity();
  CHECK(places(check_season(season)) == "contracts[0].haul_per_t demand[0].spirit_lpa ");
}

TEST_CASE("the unmet price is held against the dearest landed tonne") {
  Season season = complete(small_season());
  season.backups[0].freight_per_t = 12;
  season.risk.unmet_price = 310;  // 238 + 12 + price cap 60
  CHECK(places(check_season(season)) == "");
  season.risk.unmet_price = 309.99;
  CHECK(places(check_season(season)) == "season[-1].risk.unmet_price ");
}

TEST_CASE("nothing is said about what an unread table may hold") {
  Season season = complete(small_season());
  season.demand[0].origin_rule = "island grown";
  CHECK(places(check_season(season)) == "demand[0].origin_rule ");
  CHECK(places(check_season(season, {"stock"})) == "");
}

TEST_CASE("a patch is checked against its season") {
  const Season season = complete(small_season());
  SeasonPatch patch;
  CHECK(check_patch(season, patch).empty());
  patch.limit_n_pct = 1.75;
  CHECK(check_patch(season, patch).empty());
  CHECK(completed_patch(season, patch).stop_n_pct == 1.75);
  patch.stop_n_pct = 1.70;
  CHECK(places(check_patch(season, patch)) == "case[-1].stop_n_pct ");
  patch = {};
  patch.rain_factor[5] = 50;
  patch.demand_factor = -1;
  patch.regions_lost = {"nroth"};
  patch.backups_lost = {"merchant"};
  const Findings findings = check_patch(season, patch);
  CHECK(places(findings) == "case[-1].demand_factor case[-1].rain_factor case[-1].regions_lost ");
  CHECK(findings.back().remedy == "did you mean \"north\"?");
}

TEST_CASE("a daily season needs regions, rain, temperature and soil") {
  Season season = complete(small_season());
  season.model = ForecastModel::daily;
  CHECK(places(check_season(season)) == "season[-1].regions.path season[-1].rasters.rain season[-1].rasters.tmin season[-1].rasters ");
  season.regions.path = "regions.gpkg";
  for (const char* name : {"rain", "tmean", "available_water", "drainage_class"}) season.rasters[name].path = "x.nc";
  CHECK(places(check_season(season)) == "season[-1].diurnal_range_c ");
  season.diurnal_range_c = 8;
  CHECK(places(check_season(season)) == "");
}

TEST_CASE("an empty season has findings and no crash") {
  Season season{ParameterSet(all_parameters())};
  apply_defaults(season);
  CHECK(has_error(check_season(season)));
  season.contracts.resize(2);
  season.backups.resize(2);
  season.demand.resize(2);
  season.stock.resize(1);
  season.history.resize(1);
  season.cases.resize(1);
  apply_defaults(season);
  CHECK(has_error(check_season(season)));
}

}  // namespace
}  // namespace rickyard
