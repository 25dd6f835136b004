// A season read from CSV files and from sheets of a book.
#include "io/season_reader.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "planner/rules/season_fields.h"
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

Season season_of(const fs::path& season_toml) {
  SeasonReading reading = read_season(season_toml);
  CHECK(all_of(reading.problems) == "");
  REQUIRE(reading.season);
  return std::move(*reading.season);
}

const DefaultUsed* default_of(const Season& season, const std::string& name) {
  const auto found =
      std::find_if(season.defaults_used.begin(), season.defaults_used.end(), [&](const DefaultUsed& d) { return d.name == name; });
  return found == season.defaults_used.end() ? nullptr : &*found;
}

std::string all_differences(const Season& a, const Season& b) {
  std::string text;
  for (const auto& difference : differences(a, b)) text += difference + "\n";
  return text;
}

// The same folder with its tables as sheets of one book.
void write_book_season(const fs::path& folder, const std::string& driver, const std::string& extension) {
  std::vector<std::string> files;
  std::string keys = text_of(kSeason / "season.toml");
  for (const auto table : table_names()) {
    const std::string name(table);
    files.push_back(name + ".csv");
    keys = replaced(keys, "\"" + name + ".csv\"", "{ file = \"book." + extension + "\", sheet = \"" + name + "\" }");
  }
  write_text(folder / "season.toml", keys);
  write_book(kSeason, files, folder / ("book." + extension), driver, BookCells::typed);
}

TEST_CASE("a full season is read as it is written") {
  const Season season = season_of(kSeason / "season.toml");
  CHECK(season.crop_year == 2027);
  CHECK(season.as_of == Date(2027, 2, 15));
  CHECK(season.seed == 7);
  CHECK(season.model == ForecastModel::formulas);
  CHECK(season.plan_from == Month{2027, 11});
  CHECK(season.spec.limit_policy == LimitPolicy::after_harvest);
  CHECK(season.spec.limit_max == 1.85);
  CHECK(season.outlook.dry == 0.4);
  CHECK(season.closing_t.at("") == 900);
  CHECK(season.closing_t.at("island grown") == 300);
  REQUIRE(season.contracts.size() == 3);
  const ContractRow& north = season.contracts[0];
  CHECK(north.at.file == "contracts.csv");
  CHECK(north.at.row == 2);
  CHECK(north.planted_ha == 500);
  CHECK(north.sow_planned == Date(2027, 3, 28));
  CHECK(north.n_basis == NitrogenBasis::accepted);
  CHECK(north.claims == std::vector<std::string>{"island grown", "assured"});
  REQUIRE(north.delivery_share);
  CHECK((*north.delivery_share)[0] == 0.5);
  CHECK((*north.delivery_share)[3] == 0);
  CHECK(season.contracts[1].form == ContractForm::area_capped);
  CHECK(season.contracts[1].held == Held::store);
  CHECK(season.contracts[2].price_form == PriceForm::collar);
  CHECK(season.contracts[2].price_ceiling == 230);
  REQUIRE(season.backups.size() == 3);
  CHECK(season.backups[1].months_available ==
        std::array<bool, 12>{true, true, false, false, false, false, false, false, false, false, true, true});
  CHECK(season.backups[2].min_take_kind == MinimumTake::standing);
  REQUIRE(season.demand.size() == 4);
  CHECK(season.demand[2].unit == NeedUnit::malt_t);
  CHECK(season.demand[2].amount == 40);
  CHECK(season.demand[2].peated);
  CHECK_FALSE(season.demand[3].month);
  CHECK(season.cases[0].rain_factor[5] == 0.5);
  CHECK(season.cases[0].rain_factor[0] == 1);
  CHECK(season.cases[1].backups_lost == std::vector<std::string>{"Farland vessel"});
}

TEST_CASE("what is left out takes its default and is listed with value, status and rows") {
  const Season season = season_of(kSeason / "season.toml");
  const ContractRow& east = season.contracts[2];
  CHECK(east.origin == "east");
  CHECK(east.contract == "east-tonnage");
  CHECK(*east.planted_ha == doctest::Approx(900 / 5.8));
  CHECK(*east.tolerance_t == 45);  // min(5 % of 900 t, 15 t x 3 growers), trade-notes 3.4
  CHECK(east.harvested_share == 0.97);
  CHECK(east.typical_n_pct == 1.48);
  CHECK(east.sow_planned == Date(2027, 3, 31));
  CHECK(east.sow_earliest == Date(2027, 3, 10));
  CHECK(east.sow_latest == Date(2027, 4, 30));
  CHECK(east.sign_by == Date(2027, 2, 15));
  CHECK(season.contracts[1].hold_per_t_month == 1.1);  // held in store: the first store's cost
  CHECK(season.contracts[2].hold_per_t_month == 0);
  CHECK(season.stock[1].lot == "stock-3");
  CHECK(season.stock[1].store == "Pier store");
  CHECK(season.cases[1].stop_n_pct == doctest::Approx(1.80));  // limit 1.75 + the season's claim width of 0.05
  const DefaultUsed* share = default_of(season, "contracts.harvested_share");
  REQUIRE(share);
  CHECK(share->value == "0.97");
  CHECK(share->unit == "fraction");
  CHECK(share->status == "practice");
  CHECK(share->rows == 2);
  CHECK(default_of(season, "contracts.sow_planned")->value == "2027-03-31");
  CHECK(default_of(season, "risk.alpha")->value == "0.9");
  CHECK_FALSE(default_of(season, "risk.lambda"));
  CHECK_FALSE(default_of(season, "currency"));
  CHECK(default_of(season, "season_start")->value == "09-01");
}

TEST_CASE("the same season from XLSX and ODS is equal") {
  const Season season = season_of(kSeason / "season.toml");
  for (const auto& [driver, extension] : {std::pair{"XLSX", "xlsx"}, {"ODS", "ods"}}) {
    CAPTURE(driver);
    const TemporaryFolder folder(std::string("season-") + extension);
    write_book_season(folder.path(), driver, extension);
    const Season from_book = season_of(folder.path() / "season.toml");
    CHECK(all_differences(season, from_book) == "");
    CHECK(from_book.contracts[0].at.file == std::string("book.") + extension + "[contracts]");
  }
}

TEST_CASE("differences are seen") {
  Season a = season_of(kSeason / "season.toml");
  Season b = a;
  b.contracts[1].yield_t_ha = 6.4;
  b.risk.lambda = 1;
  b.backups[0].months_available[3] = false;
  CHECK(all_differences(a, b) == "risk.lambda\ncontracts[1].yield_t_ha\nbackups[0].months\n");
}

TEST_CASE("inputs are listed with their roles") {
  const SeasonReading reading = read_season(kSeason / "season.toml");
  REQUIRE(reading.inputs.size() == 11);
  CHECK(reading.inputs[0].role == "season");
  CHECK(reading.inputs[1].role == "contracts");
  CHECK(reading.inputs[1].relative == "contracts.csv");
  CHECK(fs::exists(reading.inputs[1].path));
}

TEST_CASE("a byte order mark, CRLF, quotes, blank rows and spaces round cells change nothing") {
  const Season season = season_of(kSeason / "season.toml");
  const TemporaryFolder folder("season-spelling");
  for (const auto& entry : fs::directory_iterator(kSeason)) fs::copy(entry.path(), folder.path() / entry.path().filename());
  std::string text = "\xEF\xBB\xBF" + text_of(kSeason / "contracts.csv");
  text = replaced(replaced(text, "\n", "\r\n"), "north,Home", " \"north\" ,Home");
  write_text(folder.path() / "contracts.csv", text + ",,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,\r\n\r\n");
  CHECK(all_differences(season, season_of(folder.path() / "season.toml")) == "");
}

TEST_CASE("rasters and regions: statements are listed, files are found by pattern") {
  const TemporaryFolder folder("season-rasters");
  for (const auto& entry : fs::directory_iterator(kSeason)) fs::copy(entry.path(), folder.path() / entry.path().filename());
  std::string keys = replaced(text_of(kSeason / "season.toml"), "\"formulas\"", "\"daily\"");
  keys += R"(
[regions]
path = "regions.geojson"
crs = "EPSG:27700"
[rasters.rain]
path = "rain_{year}.tif"
unit = "mm/day"
calendar = "360_day"
fill = -999
[rasters.tmin]
path = "NETCDF:remote.nc:tn"
[rasters.tmax]
path = "/vsicurl/https://example.org/tx.nc"
[soil]
sand_pct = 50
clay_pct = 15
organic_matter_pct = 3
)";
  write_text(folder.path() / "season.toml", keys);
  write_text(folder.path() / "regions.geojson", "{}");
  for (const char* name : {"rain_1999.tif", "rain_1998.tif", "rain_old.tif", "rain_19.tif"}) write_text(folder.path() / name, "x");
  const SeasonReading reading = read_season(folder.path() / "season.toml");
  CHECK(all_of(reading.problems) == "");
  REQUIRE(reading.season);
  CHECK(reading.season->rasters.at("rain").step == "day");
  CHECK(reading.season->regions.id == "region");
  CHECK(reading.season->soil->root_depth_m == 1.0);
  std::string declared;
  for (const auto& d : reading.season->declared) declared += d.what + "=" + d.value + " ";
  CHECK(declared == "rasters.rain.unit=mm/day rasters.rain.calendar=360_day rasters.rain.fill=-999 regions.crs=EPSG:27700 ");
  std::string inputs;
  for (const auto& input : reading.inputs)
    if (input.role.starts_with("r")) inputs += input.role + ":" + input.relative + " ";
  CHECK(inputs == "regions:regions.geojson rasters.rain:rain_1998.tif rasters.rain:rain_1999.tif ");
}

}  // namespace
}  // namespace rickyard
